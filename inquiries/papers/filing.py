"""The file of a paper: made once from what was frozen, kept under its name with its hash, and never made over."""

import hashlib
from datetime import datetime
from pathlib import Path

import typst
from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import timezone

from inquiries.papers.models import IssuedPaper, PaperFile
from inquiries.papers.rules import canonical, digest, file_name, template_of
from shop.jobs.actions import task
from shop.refusal import Refused
from shop.signs import all_readable
from shop.typesetting import TEMPLATES, pdf, write_new


@task
def make_file(paper: int) -> None:
    """The worker's part: the file of a paper that was issued."""
    file_of(IssuedPaper.objects.get(pk=paper), at=timezone.now())


def file_of(paper: IssuedPaper, *, at: datetime) -> PaperFile:
    """The row of a paper's file, with the file made first when it is not there.

    What was broken off between file and row is taken up by the name: it holds the hash of what stands on the paper, so
    a whole file of that name is this paper's. Two that make it at once leave one file and one row.
    """
    if kept := PaperFile.objects.filter(paper=paper).first():
        return kept
    path = _path(paper)
    if not path.exists():
        write_new(path, _typeset(paper))
    row = PaperFile(paper=paper, name=path.name, sha256=_sha256(path.read_bytes()), at=at)
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:  # another was quicker by a moment, with the same file
        return PaperFile.objects.get(paper=paper)
    return row


def bytes_of(paper: IssuedPaper, *, at: datetime) -> bytes:
    """The file as it was made. Raises Refused when it is gone, or is not what was made: it is never made anew."""
    kept = file_of(paper, at=at)
    made = f"{timezone.localtime(kept.at):%-d %B %Y}"
    try:
        found = (settings.PAPERS_DIR / kept.name).read_bytes()
    except FileNotFoundError:
        raise Refused(
            f"The file of {paper}, made on {made}, is no longer there ({kept.name}). "
            "Take it from a backup, and put it back among the papers.",
            code="file-gone",
        ) from None
    if _sha256(found) != kept.sha256:
        raise Refused(
            f"The file of {paper} ({kept.name}) is not the one that was made on {made}: its hash differs. "
            "Somebody or something changed it outside of the shop. Take it from a backup.",
            code="file-differs",
        )
    return found


def _path(paper: IssuedPaper) -> Path:
    path: Path = settings.PAPERS_DIR / file_name(paper.number, paper.version, digest(paper.content))
    return path


def _typeset(paper: IssuedPaper) -> bytes:
    """What was frozen, as a page; papers were issued once with signs on them that are no letters."""
    try:
        return pdf(
            TEMPLATES / f"{template_of(paper.kind, paper.content)}.typ",
            canonical(all_readable(paper.content)),
        )
    except typst.TypstError as error:
        raise Refused(
            f"{paper} could not be set as a page ({error}). Look for unusual signs in the names and words on it, "
            "and make it anew with the reason.",
            code="not-set",
        ) from error


def _sha256(made: bytes) -> str:
    return hashlib.sha256(made).hexdigest()
