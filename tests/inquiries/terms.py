"""Pieces on consignment, what was agreed of them and offered for them, for tests."""

import uuid
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from catalog.models import Acquisition, Agreement, Instrument
from catalog.pricing.agreement_actions import add_agreement
from catalog.pricing.share_rules import Tier
from inquiries.models import Offer
from inquiries.offers.actions import make_offer
from tests.factories import NOON, InquiryFactory, InstrumentFactory
from tests.inquiries.steps import entry

DAY = timedelta(days=1)
LONG_AGO = date(2026, 1, 1)


def consigned(percent: int = 20, **fields: Any) -> Instrument:
    """A piece for sale that Orrin Pell has left here."""
    piece = InstrumentFactory(listed=True, **fields)
    Acquisition.objects.create(
        instrument=piece,
        how="consigned",
        seller="Orrin Pell",
        on=LONG_AGO,
        commission_percent=Decimal(percent),
    )
    return Instrument.objects.get(pk=piece.pk)


def agreed(
    piece: Instrument, *tiers: tuple[int, int], at: datetime = NOON - 60 * DAY, **terms: Any
) -> Agreement:
    """Its terms: 20 per cent where nothing else is said."""
    rates = [Tier(Decimal(above), Decimal(percent)) for above, percent in tiers or [(0, 20)]]
    plain = {"starts": LONG_AGO, "payout_days": 30}
    return add_agreement(piece, rates, entry=uuid.uuid4(), by=None, at=at, **(plain | terms))


def offer_of(piece: Instrument, amount: int, **fields: Any) -> Offer:
    """What a new inquirer would give for it."""
    inquiry = InquiryFactory(instrument=piece)
    return make_offer(inquiry, amount=Decimal(amount), entry=entry(), by=None, at=NOON, **fields)
