"""The picture that stands for a listing where its address is passed on: the lead photograph, name, date, number.

It is the same for the pages of every language, in the dealer's own.

It is drawn when it is first asked for, which takes a twentieth of a second, and kept with the prints under a hash of
all that it shows. It has the shop's own typefaces and colours, and nothing besides its pixels.
"""

import hashlib
import io
import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from PIL import Image, ImageDraw, ImageFont

from catalog.pictures.prints import print_path
from catalog.public.shown.cards import Card
from shop.typesetting import write_once

# What the places that show such pictures ask for. Common practice, no source.
WIDTH, HEIGHT = 1200, 630
MARGIN = 56
MOST_OF_THE_WIDTH = 640  # pixels that the photograph may take
REGULAR = 400
DRAWN_BY = "1"  # another figure when the drawing changes, so that kept ones are not taken for it

Colour = tuple[int, int, int]
Pen = tuple[ImageDraw.ImageDraw, int, int]  # with the left edge and the width of the words


def preview_path(shown: Card, shop: str) -> str:
    """Where the picture is served, below the address of the listing."""
    return f"{shown.address}preview-{preview_mark(shown, shop)}.jpg"


def preview_alt(shown: Card) -> str:
    """What a person who cannot see it is told."""
    name, made = shown.own
    return f"No. {shown.stock}: {name}{f', {made}' if made else ''}"


def preview_mark(shown: Card, shop: str) -> str:
    """A hash of all that the picture shows."""
    lead = shown.picture.token if shown.picture else ""
    whole = json.dumps([DRAWN_BY, shown.stock, *shown.own, lead, shop])
    return hashlib.sha256(whole.encode()).hexdigest()[:16]


def preview_picture(shown: Card, shop: str) -> BinaryIO:
    """The picture as JPEG, drawn now or kept from before; an older one of the same piece is cleared away."""
    folder = Path(settings.PRINTS_DIR) / "previews"
    path = folder / f"{shown.stock}-{preview_mark(shown, shop)}.jpg"
    try:
        return path.open("rb")
    except FileNotFoundError:
        pass
    lead = _lead(shown)
    made = _as_jpeg(_drawn(shown, shop, lead))
    if (
        lead is not None or shown.picture is None
    ):  # one without its print is not kept: the print may come back
        write_once(path, made)
        for older in folder.glob(f"{shown.stock}-*.jpg"):
            if older != path:
                older.unlink(missing_ok=True)
    return io.BytesIO(made)


def _lead(shown: Card) -> Image.Image | None:
    if shown.picture is None:
        return None
    try:
        with Image.open(print_path(shown.picture.token, shown.picture.widths[-1], "jpg")) as print_:
            return print_.convert("RGB")
    except OSError:
        return None


def _drawn(shown: Card, shop: str, lead: Image.Image | None) -> Image.Image:
    page = Image.new("RGB", (WIDTH, HEIGHT), _colour("ground"))
    left = MARGIN
    if lead is not None:
        lead.thumbnail((MOST_OF_THE_WIDTH, HEIGHT), Image.Resampling.LANCZOS)
        page.paste(_colour("ground-plate"), (0, 0, lead.width, HEIGHT))
        page.paste(lead, (0, (HEIGHT - lead.height) // 2))
        left += lead.width
    _write_words((ImageDraw.Draw(page), left, WIDTH - MARGIN - left), shown, shop)
    return page


def _write_words(pen: Pen, shown: Card, shop: str) -> None:
    draw, left, width = pen
    name_in_full, made = shown.own
    below = _write(pen, f"No. {shown.stock}", MARGIN, _face("shop-sans", 600, 30), "accent") + 14
    name = _face_of_name(name_in_full, width)
    for line in _lines(name_in_full, name, width):
        below = _write(pen, line, below, name, "ink")
    date, below = _face("shop-serif-italic", REGULAR, 36), below + 12
    for line in _lines(made, date, width):
        below = _write(pen, line, below, date, "ink-soft")
    draw.line((left, HEIGHT - 112, left + width, HEIGHT - 112), _colour("hairline-strong"), 1)
    _write(pen, shop, HEIGHT - 96, _fitting(shop, width), "ink")


def _write(pen: Pen, text: str, top: int, face: ImageFont.FreeTypeFont, colour: str) -> int:
    """Write one line, and say where the next begins."""
    draw, left, _ = pen
    draw.text((left, top), text, font=face, fill=_colour(colour))
    return top + round(face.size * 1.15)


def _face_of_name(name: str, width: int) -> ImageFont.FreeTypeFont:
    """The largest in which the name keeps to the upper half and no word of it stands out."""
    for size in range(72, 31, -4):
        face = _face("shop-serif", 500, size)
        lines = list(_lines(name, face, width))
        if len(lines) * size * 1.15 < HEIGHT / 2 and all(face.getlength(line) <= width for line in lines):
            break
    return face


def _fitting(text: str, width: int) -> ImageFont.FreeTypeFont:
    """The shop's name on one line."""
    sizes = (_face("shop-serif", 500, size) for size in range(34, 13, -2))
    return next((face for face in sizes if face.getlength(text) <= width), _face("shop-serif", 500, 14))


def _lines(text: str, face: ImageFont.FreeTypeFont, width: int) -> Iterator[str]:
    """Break at spaces; a single word that is too long stays whole."""
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and face.getlength(longer) > width:
            yield line
            line = word
        else:
            line = longer
    if line:
        yield line


def _face(name: str, weight: int, size: int) -> ImageFont.FreeTypeFont:
    face = ImageFont.truetype(settings.BASE_DIR / "static" / "fonts" / f"{name}.woff2", size)
    if weight != REGULAR:  # which a font file is when it is opened; the italic has no other
        face.set_variation_by_axes([weight])
    return face


@cache
def _tokens() -> dict[str, str]:
    """The colours of the printed page by their names; those by lamplight come second and are left out."""
    text = (settings.BASE_DIR / "static" / "css" / "tokens.css").read_text(encoding="utf-8")
    return dict(reversed(re.findall(r"--([a-z-]+): #([0-9a-f]{6});", text)))


def _colour(name: str) -> Colour:
    red, green, blue = bytes.fromhex(_tokens()[name])
    return red, green, blue


def _as_jpeg(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=86, progressive=True)
    return out.getvalue()
