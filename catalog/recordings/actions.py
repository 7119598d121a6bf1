"""The deeds on sound and film: take in, say what is heard, put in order, take off and put back. None is removed."""

from datetime import datetime
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models import Max

from catalog.instruments.actions import refuse_if_changed, touch
from catalog.instruments.models import Instrument
from catalog.recordings.intake import keep_recording
from catalog.recordings.models import Recording
from catalog.recordings.tasks import order
from shop.history.actions import record
from shop.keeping import Kept
from shop.refusal import Refused
from shop.staff.models import User

State = Recording.State
# What may be said of a recording, and how the history calls it.
SAID = {
    "title": "title of a recording",
    "captions": "captions of a recording",
    "chapters": "chapters of a recording",
    "poster": "picture before a film",
}


def receive_recording(
    instrument: Instrument, upload: "UploadedFile[bytes]", *, by: User | None, at: datetime
) -> Recording:
    """Keep one uploaded recording and hand it to the worker.

    Raises Refused, naming the file, when it is no sound or film, cut short, not playable, too large, known already,
    or when the disk is full. When this returns, the file is safe on disk and in the database.
    """
    name = (upload.name or "recording")[-255:]
    kept, what = keep_recording(upload)
    return _enter(instrument, name, kept, what, by=by, at=at)


@transaction.atomic
def _enter(
    instrument: Instrument, name: str, kept: Kept, what: Recording.What, *, by: User | None, at: datetime
) -> Recording:
    Instrument.objects.select_for_update().get(pk=instrument.pk)
    if twin := instrument.recordings.filter(sha256=kept.sha256).first():
        taken_off = ", taken off: put it back instead" if twin.state == State.OFF else ""
        raise Refused(f"{name} is here already, as “{twin}”{taken_off}.", code="duplicate")
    last = instrument.recordings.aggregate(last=Max("position"))["last"]
    recording = Recording.objects.create(
        instrument=instrument,
        what=what,
        original_name=name,
        sha256=kept.sha256,
        suffix=kept.suffix,
        bytes=kept.bytes,
        position=0 if last is None else last + 1,
        received_by=by,
        received_at=at,
    )
    record(instrument, "recording received", by=by, at=at, field="recordings", new=name)
    order(recording, at=at)
    return recording


@transaction.atomic
def change_recording(
    recording: Recording,
    values: dict[str, Any],
    *,
    by: User | None,
    at: datetime,
    revision: int | None = None,
) -> bool:
    """Change what is said of a recording, never its file; True when something differs.

    With `revision`, a change is refused when the record has been changed since.
    """
    instrument = Instrument.objects.select_for_update().get(pk=recording.instrument_id)
    now = Recording.objects.select_related("poster").get(pk=recording.pk)
    before = {name: getattr(now, name) for name in values}
    changed = [name for name, value in values.items() if before[name] != value]
    if not changed:
        return False
    refuse_if_changed(instrument, revision)
    for name in changed:
        setattr(now, name, values[name])
    now.save(update_fields=changed)
    touch(instrument, at=at)
    for name in changed:
        record(instrument, "changed", by=by, at=at, field=SAID[name], old=before[name], new=values[name])
    recording.refresh_from_db()
    return True


@transaction.atomic
def move(recording: Recording, places: int, *, by: User | None, at: datetime) -> None:
    """Move one recording up (negative) or down the order."""
    instrument = Instrument.objects.select_for_update().get(pk=recording.instrument_id)
    before = list(instrument.recordings.values_list("pk", flat=True))
    there = min(max(before.index(recording.pk) + places, 0), len(before) - 1)
    after = [pk for pk in before if pk != recording.pk]
    after.insert(there, recording.pk)
    if after == before:
        return
    for position, pk in enumerate(after):
        Recording.objects.filter(pk=pk).update(position=position)
    touch(instrument, at=at)
    record(instrument, "changed", by=by, at=at, field="order of recordings")


@transaction.atomic
def take_off(recording: Recording, *, by: User | None, at: datetime) -> bool:
    """Show a recording no longer; its file and all that is said of it stay. False when it is off already."""
    if not _moved(recording, [State.WAITING, State.READY, State.REFUSED], State.OFF):
        return False
    touch(recording.instrument, at=at)
    record(recording.instrument, "recording taken off", by=by, at=at, field="recordings", old=recording)
    return True


@transaction.atomic
def put_back(recording: Recording, *, by: User | None, at: datetime) -> bool:
    """Show a recording again that was taken off; False when it is there already."""
    ready = recording.seconds is not None
    if not _moved(recording, [State.OFF], State.READY if ready else State.WAITING):
        return False
    if not ready:
        order(recording, at=at)
    touch(recording.instrument, at=at)
    record(recording.instrument, "recording put back", by=by, at=at, field="recordings", new=recording)
    return True


def _moved(recording: Recording, old: list[State], new: State) -> bool:
    won = Recording.objects.filter(pk=recording.pk, state__in=old).update(state=new, refusal="")
    return bool(won)
