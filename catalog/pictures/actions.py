"""The deeds on photographs: take in, describe, put in order, choose the lead, remove."""

from collections.abc import Sequence
from datetime import datetime

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models import Max, ProtectedError

from catalog.instruments.actions import touch
from catalog.instruments.models import Instrument, View
from catalog.pictures.intake import keep
from catalog.pictures.models import Photograph
from catalog.pictures.tasks import prepare
from shop.history.actions import record
from shop.keeping import Kept
from shop.refusal import Refused
from shop.staff.models import User


def receive_photograph(
    instrument: Instrument, upload: "UploadedFile[bytes]", *, by: User | None, at: datetime
) -> Photograph:
    """Keep one uploaded photograph and hand it to the worker.

    Raises Refused, naming the file, when it is no photograph, cut short, too large, known already,
    or when the disk is full. When this returns, the original is safe on disk and in the database.
    """
    name = (upload.name or "photograph")[-255:]
    return _enter(instrument, name, keep(upload), by=by, at=at)


@transaction.atomic
def _enter(instrument: Instrument, name: str, original: Kept, *, by: User | None, at: datetime) -> Photograph:
    Instrument.objects.select_for_update().get(pk=instrument.pk)
    if twin := instrument.photographs.filter(sha256=original.sha256).first():
        raise Refused(f"{name} is here already, as {twin.original_name}.", code="duplicate")
    last = instrument.photographs.aggregate(last=Max("position"))["last"]
    photograph = Photograph.objects.create(
        instrument=instrument,
        original_name=name,
        sha256=original.sha256,
        suffix=original.suffix,
        bytes=original.bytes,
        position=0 if last is None else last + 1,
        lead=last is None,
        received_by=by,
        received_at=at,
    )
    record(instrument, "photograph received", by=by, at=at, field="photographs", new=name)
    prepare.enqueue(at=at, key=f"prints-{photograph.pk}", photograph=photograph.pk)
    return photograph


@transaction.atomic
def describe(
    photograph: Photograph, *, caption: str, view: View | None, by: User | None, at: datetime
) -> None:
    """Say what a photograph shows."""
    before = f"{photograph.view or ''} {photograph.caption}".strip()
    Photograph.objects.filter(pk=photograph.pk).update(caption=caption, view=view)
    after = f"{view or ''} {caption}".strip()
    if before != after:
        _changed(photograph, "caption", before, after, by=by, at=at)


@transaction.atomic
def choose_lead(photograph: Photograph, *, by: User | None, at: datetime) -> None:
    """Make this the picture that stands first and on cards."""
    Instrument.objects.select_for_update().get(pk=photograph.instrument_id)
    others = Photograph.objects.filter(instrument=photograph.instrument_id, lead=True)
    before = others.first()
    others.update(lead=False)
    Photograph.objects.filter(pk=photograph.pk).update(lead=True)
    _changed(photograph, "lead picture", before or "", photograph, by=by, at=at)


@transaction.atomic
def put_in_order(instrument: Instrument, order: Sequence[int], *, by: User | None, at: datetime) -> None:
    """Put the photographs in `order` (their keys); those not named keep their order behind."""
    Instrument.objects.select_for_update().get(pk=instrument.pk)
    present = list(instrument.photographs.values_list("pk", flat=True))
    wanted = [pk for pk in order if pk in present]
    wanted += [pk for pk in present if pk not in wanted]
    if wanted == present:
        return
    for position, pk in enumerate(wanted):
        Photograph.objects.filter(pk=pk).update(position=position)
    touch(instrument, at=at)
    record(instrument, "changed", by=by, at=at, field="order of photographs")


def move(photograph: Photograph, by_places: int, *, by: User | None, at: datetime) -> None:
    """Move one photograph up (negative) or down the order."""
    order = list(photograph.instrument.photographs.values_list("pk", flat=True))
    here = order.index(photograph.pk)
    there = max(0, min(here + by_places, len(order) - 1))
    order.insert(there, order.pop(here))
    put_in_order(photograph.instrument, order, by=by, at=at)


@transaction.atomic
def remove(photograph: Photograph, *, by: User | None, at: datetime) -> None:
    """Take a photograph off the record. Its original stays on disk: it is never lost.

    Raises Refused for one that a fact names, such as the inspection of a return.
    """
    instrument = photograph.instrument
    name = photograph.original_name
    try:
        Photograph.objects.filter(pk=photograph.pk).delete()
    except ProtectedError:
        raise Refused(
            "What came back was compared with this photograph, so it stays on the record.", code="compared"
        ) from None
    touch(instrument, at=at)
    record(
        instrument, "photograph removed", by=by, at=at, field="photographs", old=f"{name} {photograph.sha256}"
    )
    following = instrument.photographs.first()
    if photograph.lead and following is not None:
        Photograph.objects.filter(pk=following.pk).update(lead=True)


def _changed(
    photograph: Photograph, field: str, old: object, new: object, *, by: User | None, at: datetime
) -> None:
    touch(photograph.instrument, at=at)
    record(photograph.instrument, "changed", by=by, at=at, field=field, old=old, new=new)
