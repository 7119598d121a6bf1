"""Every folder in which the shop keeps what cannot be made again, with the rows that point into it."""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from django.conf import settings
from django.db.models import QuerySet
from django.utils.text import slugify

from catalog.models import Paper, Photograph, Recording
from catalog.papers.intake import received_path
from catalog.pictures.intake import original_path
from catalog.recordings.intake import recording_path
from inquiries.mail.keeping import file_path, message_path
from inquiries.mail.models import Attachment, ReceivedMail
from inquiries.papers.models import IssuedPaper, PaperFile
from inquiries.papers.rules import file_name
from inquiries.shipping.models import ParcelPicture
from shop.history.models import Entry

HASH = re.compile(r"\b[0-9a-f]{64}\b")


class Pointed(NamedTuple):
    """A file that a row points at, with the hash that its bytes must have; and where that row is spoken of."""

    path: Path
    sha256: str
    where: str


@dataclass(frozen=True)
class Folder:
    """One folder of kept files. `also` says of a file that no row points at whether it is there rightly."""

    name: str
    path: Callable[[], Path]
    pointed: Callable[[], Iterator[Pointed]]
    also: Callable[[], Callable[[Path], bool]] = lambda: lambda _: False


def _values(rows: "QuerySet[Any]", *names: str) -> Iterable[tuple[Any, ...]]:
    return rows.order_by("pk").values_list(*names).iterator(chunk_size=1000)


def _photographs() -> Iterator[Pointed]:
    rows = Photograph.objects.all()
    for sha256, suffix, stock, name in _values(
        rows, "sha256", "suffix", "instrument__stock_id", "original_name"
    ):
        yield Pointed(original_path(sha256, suffix), sha256, f"No. {stock}, photograph {name}")
    sent = ParcelPicture.objects.all()
    for sha256, suffix, sale, name in _values(sent, "sha256", "suffix", "sale__number", "original_name"):
        yield Pointed(original_path(sha256, suffix), sha256, f"Sale {sale}, photograph before sealing {name}")


def _recordings() -> Iterator[Pointed]:
    rows = Recording.objects.all()
    for sha256, suffix, stock, name in _values(
        rows, "sha256", "suffix", "instrument__stock_id", "original_name"
    ):
        yield Pointed(recording_path(sha256, suffix), sha256, f"No. {stock}, recording {name}")


def _papers_received() -> Iterator[Pointed]:
    rows = Paper.objects.exclude(sha256="")
    for sha256, suffix, stock, title in _values(rows, "sha256", "suffix", "instrument__stock_id", "title"):
        yield Pointed(received_path(sha256, suffix), sha256, f"No. {stock}, paper “{title}”")


def _mail() -> Iterator[Pointed]:
    for sha256, key in _values(ReceivedMail.objects.all(), "sha256", "pk"):
        yield Pointed(message_path(sha256), sha256, f"Received mail {key}")
    for sha256, name, mail in _values(Attachment.objects.all(), "sha256", "name", "mail"):
        yield Pointed(file_path(sha256), sha256, f"Received mail {mail}, {name}")


def _papers_made() -> Iterator[Pointed]:
    for name, sha256 in _values(PaperFile.objects.all(), "name", "sha256"):
        yield Pointed(Path(settings.PAPERS_DIR) / name, sha256, f"Paper {name}")


def _of_a_removed_photograph() -> Callable[[Path], bool]:
    """The original of a photograph that was taken off stays: the history names its hash."""
    told = Entry.objects.filter(verb="photograph removed").values_list("old", flat=True)
    removed = {sha256 for old in told for sha256 in HASH.findall(old)}
    return lambda path: path.stem in removed


def _of_a_paper() -> Callable[[Path], bool]:
    """A file of which the row is still to come, by the name that holds the hash of what stands on the paper.

    The PDF of a receipt bore its number and another hash, before files had rows.
    """
    receipts = IssuedPaper.objects.filter(kind=IssuedPaper.Kind.RECEIPT)
    numbers = {slugify(number) for number in receipts.values_list("number", flat=True)}
    papers = {
        file_name(number, version, sha256)
        for number, version, sha256 in _values(IssuedPaper.objects.all(), "number", "version", "sha256")
    }
    return lambda path: (
        path.name in papers or (path.suffix == ".pdf" and path.stem.rpartition("-")[0] in numbers)
    )


FOLDERS = [
    Folder("originals", lambda: Path(settings.ORIGINALS_DIR), _photographs, _of_a_removed_photograph),
    Folder("recordings", lambda: Path(settings.RECORDINGS_DIR), _recordings),
    Folder("papers received", lambda: Path(settings.RECEIVED_DIR), _papers_received),
    Folder("mail", lambda: Path(settings.MAIL_DIR), _mail),
    Folder("papers made", lambda: Path(settings.PAPERS_DIR), _papers_made, _of_a_paper),
]
