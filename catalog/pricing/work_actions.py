"""Give a piece out for repair or set-up, and take it back: the owner's deeds.

The history tells everybody at the desk what was done and when; who does it and for how much is told to the owner alone.
"""

import uuid
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from catalog.instruments.models import Instrument
from catalog.pricing.actions import add_cost
from catalog.pricing.models import Work
from shop.history.actions import record
from shop.money import Money
from shop.refusal import Refused
from shop.staff.models import User

FIELD = "work"
TERMS_FIELD = "terms of the work"  # of the history; no helper reads it


@transaction.atomic
def give_out(
    instrument: Instrument,
    kind: str,
    what: str,
    *,
    who: str,
    begun_on: date,
    estimate: Decimal | None = None,
    entry: uuid.UUID,
    by: User | None,
    at: datetime,
) -> Work:
    """Write down a job that begins. `entry` names the press: the same press again gives the job that is there."""
    instrument = Instrument.objects.select_for_update().get(pk=instrument.pk)
    if before := Work.objects.filter(entry=entry).first():
        return before
    work = Work.objects.create(
        instrument=instrument,
        kind=kind,
        what=what,
        who=who,
        begun_on=begun_on,
        estimate=estimate,
        entry=entry,
    )
    record(instrument, "given out", by=by, at=at, field=FIELD, new=f"{work}, {begun_on:%-d %B %Y}")
    record(instrument, "given out", by=by, at=at, field=TERMS_FIELD, new=_terms(work, estimate))
    return work


@transaction.atomic
def take_back(
    work: Work,
    *,
    done_on: date,
    outcome: str,
    cost: Decimal | None,
    by: User | None,
    at: datetime,
) -> Work:
    """The piece is back: what was done, and the cost row of what it came to. Refused when it came back before.

    Without an amount there is no cost row; one can be added as any other.
    """
    instrument = Instrument.objects.select_for_update().get(pk=work.instrument_id)
    if done_on < work.begun_on:
        raise Refused(
            f"It was given out on {work.begun_on:%-d %B %Y} and cannot have come back before. Look at the day.",
            code="before-it-went",
        )
    won = Work.objects.filter(pk=work.pk, done_on__isnull=True).update(done_on=done_on, outcome=outcome)
    if not won:
        work.refresh_from_db()
        if (work.done_on, work.outcome) == (done_on, outcome):
            return work  # the same press again
        raise Refused("This job has come back already. The page shows what was done.", code="back-already")
    row = None
    if cost:
        row = add_cost(
            instrument, work.kind, cost, entry=uuid.uuid4(), on=done_on, note=work.what[:200], by=by, at=at
        )
        Work.objects.filter(pk=work.pk).update(cost=row)
    work.refresh_from_db()
    record(
        instrument, "came back", by=by, at=at, field=FIELD, old=work, new=f"{outcome}, {done_on:%-d %B %Y}"
    )
    return work


def _terms(work: Work, estimate: Decimal | None) -> str:
    if estimate is None:
        return work.who
    return f"{work.who}, estimated at {Money(estimate, work.instrument.currency)}"
