"""What a piece would leave to the shop at its asking price, at its floor, and at what has been offered for it.

The catalogue never imports an inquiry: the inquiries app registers, at start, how the open offers are found.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from catalog.instruments.models import Instrument
from catalog.pricing.margin_rules import Leaves, leaves
from catalog.pricing.queries import (
    agreement_on,
    borne_by_consignor,
    is_consigned,
    landed_cost,
    terms_by,
)
from shop.money import MixedCurrencies, Money, minor_units

Offered = Callable[[Instrument, datetime], list[tuple[str, Decimal]]]

_offered: list[Offered] = []


def register(offered: Offered) -> None:
    """Tell the catalogue how the open offers for a piece are found: what is said of each, and what it comes to."""
    _offered[:] = [offered]


@dataclass(frozen=True)
class Prospect:
    """What the piece has cost, and a line for each price; `unknown` says why there is none."""

    landed: Money | None
    lines: list[Leaves]
    unknown: str = ""


def prospect_of(instrument: Instrument, *, day: date, at: datetime) -> Prospect:
    """The lines of a piece by the agreement of `day`, the day it is looked at on the shop's calendar."""
    try:
        landed = landed_cost(instrument)
    except MixedCurrencies:
        return Prospect(None, [], "Costs stand in more than one currency, so they cannot be added up.")
    if not is_consigned(instrument) and not instrument.costs.all():
        return Prospect(
            landed, [], "No cost is written down yet, so it is not known what a price would leave."
        )
    agreement = agreement_on(instrument, day)
    if agreement and agreement.currency != instrument.currency:
        now = instrument.currency
        says = f"The agreement is in {agreement.currency} and the price in {now}. Add an agreement in {now}."
        return Prospect(landed, [], says)
    borne = sum((row.amount for row in borne_by_consignor(instrument.costs.all(), agreement)), Decimal(0))
    lines = [
        leaves(
            name,
            price,
            landed.amount,
            lambda amount: str(Money(amount, instrument.currency)),
            terms=terms_by(instrument, agreement),
            borne=borne,
            digits=minor_units(instrument.currency),
        )
        for name, price in _prices(instrument, at)
    ]
    return Prospect(
        landed, lines, "" if lines else "There is no asking price, no floor and no open offer yet."
    )


def _prices(instrument: Instrument, at: datetime) -> list[tuple[str, Decimal]]:
    known = [("Asking price", instrument.asking_price), ("Floor", instrument.floor_price)]
    named = [(name, price) for name, price in known if price is not None]
    return named + [pair for ask in _offered for pair in ask(instrument, at)]
