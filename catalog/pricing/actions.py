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

    Once it is sold, whose it was, the commission and whether VAT was charged stand: the sale was reckoned by them.
    """
    now = Instrument.objects.select_for_update().get(pk=instrument.pk)
    known = Acquisition.objects.filter(instrument=instrument).first()
    if now.state == Instrument.State.SOLD and _terms(values) != _terms(_values(known)):
        raise Refused(
            "It is sold, and the sale was reckoned by what stood here. Leave how it came, the commission and the "
            "VAT of the seller alone.",
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
    return {name: getattr(known, name) for name in ("how", "commission_percent", "vat_charged")}


def _terms(values: dict[str, Any]) -> tuple[str, Decimal | None, bool]:
    """Whose it is, for which commission, and whether its seller charged VAT; where nothing is said, our own."""
    how = values.get("how", Acquisition.How.BOUGHT)
    return how, values.get("commission_percent"), values.get("vat_charged", False)


def _as_text(acquisition: Acquisition | None) -> str:
    if acquisition is None:
        return ""
    share = acquisition.commission_percent
    parts = [
        str(acquisition),
        f"{acquisition.on:%d %B %Y}",
        f"{share.normalize():f} per cent" if share is not None else "",
        acquisition.seller_contact,
        f"invoice {acquisition.invoice_number}" if acquisition.invoice_number else "",
        "VAT charged by the seller" if acquisition.vat_charged else "",
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
