"""Write down what an instrument cost, and from whom it came: the owner's deeds."""

import uuid
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.instruments.models import Instrument
from catalog.pricing.models import Acquisition, Cost
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def describe_acquisition(
    instrument: Instrument, values: dict[str, Any], *, by: User | None, at: datetime
) -> None:
    """Say how the instrument came to the shop; one history entry when something differs.

    Once it is sold, whose it was and the commission stand: the sale was reckoned by them.
    """
    now = Instrument.objects.select_for_update().get(pk=instrument.pk)
    known = Acquisition.objects.filter(instrument=instrument).first()
    if now.state == Instrument.State.SOLD and _terms(values) != _terms(_values(known)):
        raise Refused(
            "It is sold, and the sale was reckoned by what stood here. Leave how it came and the commission alone.",
            code="sold",
        )
    before = _as_text(known)
    kept, _ = Acquisition.objects.update_or_create(instrument=instrument, defaults=values)
    after = _as_text(kept)
    if before != after:
        record(instrument, "changed", by=by, at=at, field="seller", old=before, new=after)


def _values(known: Acquisition | None) -> dict[str, Any]:
    if known is None:
        return {}
    return {"how": known.how, "commission_percent": known.commission_percent}


def _terms(values: dict[str, Any]) -> tuple[str, Decimal | None]:
    """Whose it is, and for which commission; where nothing is said, our own."""
    return values.get("how", Acquisition.How.BOUGHT), values.get("commission_percent")


def _as_text(acquisition: Acquisition | None) -> str:
    if acquisition is None:
        return ""
    share = acquisition.commission_percent
    parts = [
        str(acquisition),
        f"{acquisition.on:%d %B %Y}",
        f"{share.normalize():f} per cent" if share is not None else "",
        acquisition.seller_contact,
        acquisition.note,
    ]
    return " · ".join(part for part in parts if part)


@transaction.atomic
def add_cost(
    instrument: Instrument,
    kind: str,
    amount: Decimal,
    *,
    entry: uuid.UUID,
    on: date,
    note: str = "",
    by: User | None,
    at: datetime,
) -> Cost:
    """Add one cost row in the instrument's currency; below nought takes an earlier row back.

    `entry` names the press: the same press again gives the row that is there.
    """
    Instrument.objects.select_for_update().get(pk=instrument.pk)
    if before := Cost.objects.filter(entry=entry).first():
        return before
    cost = Cost.objects.create(
        instrument=instrument,
        kind=kind,
        amount=amount,
        currency=instrument.currency,
        on=on,
        note=note,
        entry=entry,
        by=by,
        at=at,
    )
    record(instrument, "cost added", by=by, at=at, field="costs", new=cost)
    return cost
