"""The deeds on evidence that goes off the record: strike it off, confirm that, put it back."""

from datetime import datetime

from django.db import transaction

from catalog.dating.models import DatingEvidence
from catalog.instruments.actions import touch
from catalog.instruments.models import Instrument
from catalog.provenance.models import Provenance
from catalog.publishing.readiness import names_told
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User

Evidence = DatingEvidence | Provenance


def strike(row: Evidence, *, by: User | None, at: datetime) -> None:
    """Take a row off the record; within `change_rows`, which locks the record and keeps the history."""
    type(row).every.filter(pk=row.pk, struck_at=None).update(struck_at=at, struck_by=by)


@transaction.atomic
def confirm(row: Evidence, reason: str, *, by: User | None, at: datetime) -> None:
    """Keep why it was rightly struck off, so that it holds back no claim any more; the same reason once."""
    instrument = Instrument.objects.select_for_update().get(pk=row.instrument_id)
    won = type(row).every.filter(pk=row.pk, struck_at__isnull=False, confirmed_at=None)
    if not won.update(struck_reason=reason, confirmed_at=at, confirmed_by=by):
        row.refresh_from_db()
        if row.struck_at and row.struck_reason == reason:
            return
        raise Refused(
            "It was confirmed with another reason meanwhile. The page shows it."
            if row.struck_at
            else "It was put back meanwhile, so it stands on the record. Remove it there if it is wrong.",
            code="not-waiting",
        )
    touch(instrument, at=at)
    record(
        instrument,
        "changed",
        by=by,
        at=at,
        field=f"{_called(row)} struck off",
        old=row,
        new=f"Confirmed: {reason}",
    )


@transaction.atomic
def put_back(row: Evidence, *, by: User | None, at: datetime) -> bool:
    """Let it stand on the record again; False when it stands there already.

    Refused when a text that buyers read would then name a person who has not agreed.
    """
    instrument = Instrument.objects.select_for_update().get(pk=row.instrument_id)
    before = names_told(instrument)
    again = {
        "struck_at": None,
        "struck_by": None,
        "confirmed_at": None,
        "confirmed_by": None,
        "struck_reason": "",
    }
    if not type(row).every.filter(pk=row.pk, struck_at__isnull=False).update(**again):
        return False
    if named := [one for one in names_told(instrument) if one not in before]:
        raise Refused(
            f"It cannot be put back as it is: {named[0].says}. Change that text first, or write the entry anew.",
            code="names-a-person",
        )
    touch(instrument, at=at)
    record(instrument, "changed", by=by, at=at, field=_called(row), old="", new=f"Put back: {row}")
    return True


def _called(row: Evidence) -> str:
    return "dating evidence" if isinstance(row, DatingEvidence) else "provenance"
