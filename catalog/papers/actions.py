"""The deeds on papers: take one in, change what is said of it, lay in its file. A paper is never removed."""

import uuid
from datetime import datetime
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from catalog.instruments.actions import refuse_if_changed, touch
from catalog.instruments.models import Instrument
from catalog.papers.intake import keep_paper
from catalog.papers.models import Paper
from shop.history.actions import record
from shop.keeping import Kept
from shop.refusal import Refused
from shop.staff.models import User

# The field under which the history keeps from whom a paper came: for the owner alone.
FROM_WHOM = "from whom a paper came"


def add_paper(
    instrument: Instrument,
    values: dict[str, Any],
    upload: "UploadedFile[bytes] | None" = None,
    *,
    entry: uuid.UUID | None = None,
    by: User | None,
    at: datetime,
) -> Paper:
    """Take in a paper with its file, or without one when it was only seen elsewhere.

    `entry` names the press of the form: two presses are one paper. Raises Refused, naming the file, when it is
    no paper, cut short, too large, known already, or when the disk is full. When this returns, the file is safe
    on disk and in the database.
    """
    seen = values.get("copy", Paper.Copy.ORIGINAL) == Paper.Copy.SEEN
    if seen and upload is not None:
        raise Refused("A paper that is not here has no file. Choose “A copy”, or send no file.", code="seen")
    if not seen and upload is None:
        raise Refused("Send a scan or a photograph of the paper, or choose “Seen, not here”.", code="no-file")
    token = (entry or uuid.uuid4()).hex
    if known := Paper.objects.filter(token=token).first():
        return _same(known, instrument)
    name = (upload.name or "paper")[-255:] if upload else ""
    return _enter(instrument, values, name, keep_paper(upload) if upload else None, token, by=by, at=at)


@transaction.atomic
def _enter(
    instrument: Instrument,
    values: dict[str, Any],
    name: str,
    kept: Kept | None,
    token: str,
    *,
    by: User | None,
    at: datetime,
) -> Paper:
    Instrument.objects.select_for_update().get(pk=instrument.pk)
    if known := Paper.objects.filter(token=token).first():
        return _same(known, instrument)
    paper = Paper(instrument=instrument, token=token, received_by=by, received_at=at, **values)
    if kept:
        _lay_in(paper, name, kept)
    paper.save()
    touch(instrument, at=at)
    record(instrument, "paper added", by=by, at=at, field="papers", new=_told(paper))
    if paper.from_whom:
        record(instrument, "changed", by=by, at=at, field=FROM_WHOM, new=f"{paper.title}: {paper.from_whom}")
    return paper


def _lay_in(paper: Paper, name: str, kept: Kept) -> None:
    """Give a paper its file; Refused when another paper of the record has the same."""
    if twin := Paper.objects.filter(instrument=paper.instrument_id, sha256=kept.sha256).first():
        raise Refused(f"{name} is here already, as “{twin.title}”.", code="duplicate")
    paper.original_name, paper.sha256 = name, kept.sha256
    paper.suffix, paper.bytes = kept.suffix, kept.bytes


def _same(paper: Paper, instrument: Instrument) -> Paper:
    if paper.instrument_id != instrument.pk:
        raise Refused("This form belongs to another record. Open it again.", code="other-record")
    return paper


def change_paper(
    paper: Paper,
    values: dict[str, Any],
    upload: "UploadedFile[bytes] | None" = None,
    *,
    by: User | None,
    at: datetime,
    revision: int | None = None,
) -> bool:
    """Change what is said of a paper, and give it its file when it had none; True when something differs.

    A file that is here stays as it came. With `revision`, a change is refused when the record has been changed
    since. Raises Refused when the paper would have a file and not be here, or be here without one, and whenever
    `add_paper` would refuse the file.
    """
    name = (upload.name or "paper")[-255:] if upload else ""
    kept = keep_paper(upload) if upload else None
    return _change(paper, values, name, kept, by=by, at=at, revision=revision)


@transaction.atomic
def _change(
    paper: Paper,
    values: dict[str, Any],
    name: str,
    kept: Kept | None,
    *,
    by: User | None,
    at: datetime,
    revision: int | None,
) -> bool:
    instrument = Instrument.objects.select_for_update().get(pk=paper.instrument_id)
    now = Paper.objects.get(pk=paper.pk)
    arrives = kept if kept and kept.sha256 != now.sha256 else None
    if not arrives and all(getattr(now, column) == value for column, value in values.items()):
        return False
    refuse_if_changed(instrument, revision)
    before, whom = _told(now), now.from_whom
    for column, value in values.items():
        setattr(now, column, value)
    if arrives and now.sha256:
        raise Refused(
            "Its file is here and stays as it came. Add the other as a new paper.", code="has-file-already"
        )
    if arrives:
        _lay_in(now, name, arrives)
    _refuse_without_file(now)
    now.save()
    touch(instrument, at=at)
    if _told(now) != before:
        record(instrument, "changed", by=by, at=at, field="papers", old=before, new=_told(now))
    if now.from_whom != whom:
        record(
            instrument,
            "changed",
            by=by,
            at=at,
            field=FROM_WHOM,
            old=whom and f"{now.title}: {whom}",
            new=now.from_whom and f"{now.title}: {now.from_whom}",
        )
    paper.refresh_from_db()
    return True


def _refuse_without_file(paper: Paper) -> None:
    seen = paper.copy == Paper.Copy.SEEN
    if seen and paper.sha256:
        raise Refused(
            "Its file is here, so the paper or a copy of it is. Choose one of those.", code="has-file"
        )
    if not seen and not paper.sha256:
        raise Refused("No file of this paper is here yet. Send its scan along.", code="without-file")


def _told(paper: Paper) -> str:
    """All that is said of a paper, in one line, without the person it came from."""
    said = [
        paper.get_kind_display(),
        paper.title,
        paper.when,
        paper.get_copy_display(),
        "comes with the instrument" if paper.comes_along else "",
        "may be named to buyers" if paper.public else "",
        paper.note,
        paper.original_name,
    ]
    return " · ".join(filter(None, said))
