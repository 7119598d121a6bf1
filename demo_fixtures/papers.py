"""The invented papers: each a small sheet drawn here, taken in as a scan would be."""

from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw, ImageFont

from catalog.instruments.models import Instrument
from catalog.papers.actions import add_paper
from catalog.papers.models import Paper
from demo_fixtures.clock import Clock
from shop.models import User

Row = dict[str, Any]
SHEET = (620, 800)
PAPER, EDGE, INK = (244, 236, 216), (206, 190, 156), (52, 44, 38)
SAID = ("kind", "title", "when", "copy", "comes_along", "public", "from_whom", "note")


def load_papers(row: Row, instrument: Instrument, *, owner: User, clock: Clock) -> dict[str, Paper]:
    """Take in every paper of an instrument; by the key that the other rows call it by."""
    at = clock.at(row["acquired"]["days_ago"] - 1, 9)
    return {paper["key"]: _take_in(paper, instrument, owner, at) for paper in row.get("papers", [])}


def _take_in(paper: Row, instrument: Instrument, owner: User, at: Any) -> Paper:
    said = {name: paper[name] for name in SAID if name in paper}
    scan = None
    if paper["copy"] != Paper.Copy.SEEN:
        name = f"{instrument.stock_id}-{paper['key']}.jpg"
        scan = SimpleUploadedFile(name, sheet(_written(paper)), "image/jpeg")
    return add_paper(instrument, said, scan, by=owner, at=at)


def _written(paper: Row) -> list[str]:
    """What stands on the sheet: its own lines, or its title where nobody has copied it out."""
    return paper.get("file") or [paper["title"], paper.get("when", "")]


def sheet(lines: list[str]) -> bytes:
    """A sheet of old paper with these lines on it, as JPEG."""
    picture = Image.new("RGB", SHEET, EDGE)
    draw = ImageDraw.Draw(picture)
    draw.rectangle((14, 14, SHEET[0] - 15, SHEET[1] - 15), fill=PAPER)
    font = ImageFont.load_default(19)
    for place, line in enumerate(lines):
        draw.text((54, 70 + place * 38), line, fill=INK, font=font)
        draw.line((54, 96 + place * 38, SHEET[0] - 54, 96 + place * 38), fill=EDGE)
    content = BytesIO()
    picture.save(content, "JPEG", quality=80)
    return content.getvalue()
