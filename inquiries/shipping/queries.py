"""The rules of carriers as the pure rules read them, and what a parcel comes to."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from inquiries.shipping.models import CarrierRule, Shipment
from inquiries.shipping.rules import (
    Measured,
    Parcel,
    Reckoned,
    Side,
    Terms,
    Weight,
    reckon,
    terms_on,
)
from shop.money import Money
from shop.units import Mass


@dataclass(frozen=True)
class Panel:
    """What the page of a sale shows of a parcel; without a rule in force, `rule` and `reckoned` are None."""

    carrier: str
    day: date
    rule: CarrierRule | None
    reckoned: Reckoned | None


def terms_of(row: CarrierRule) -> Terms:
    """A row as the rules read it."""
    limit = row.declared_limit
    return Terms(
        key=row.pk,
        carrier=row.carrier,
        starts=row.starts,
        measured=Measured(row.measured),
        divisor=row.divisor,
        above=row.above,
        side=Side(row.side),
        weight=Weight(row.weight),
        girth_limit=row.girth_limit,
        longest=row.longest,
        heaviest=row.heaviest,
        declared_limit=None if limit is None else Money(limit, row.currency),
    )


def in_force(rows: Iterable[CarrierRule], day: date) -> set[int]:
    """The keys of the rows that hold on a day, one of each carrier."""
    terms = [terms_of(row) for row in rows]
    found = (terms_on(terms, one.carrier, day) for one in terms)
    return {one.key for one in found if one}


def parcel_of(shipment: Shipment, currency: str) -> Parcel:
    """A shipment, kept or not yet, as the rules read it."""
    sides = shipment.sides
    mass, declared = shipment.weight_amount, shipment.declared_value
    grams: Fraction | None = None
    if mass is not None:
        grams = Mass.from_stored(mass, shipment.weight_unit).grams
    return Parcel(
        sides=None if sides is None else (sides[0].mm, sides[1].mm, sides[2].mm),
        grams=grams,
        declared=None if declared is None else Money(declared, currency),
    )


def parcel_panel(shipment: Shipment | None, *, currency: str, day: date) -> Panel | None:
    """What a parcel comes to by the rule that its carrier has on `day`; None for one that no carrier took."""
    if shipment is None or not shipment.carrier:
        return None
    rows = {row.pk: row for row in CarrierRule.objects.all()}
    terms = terms_on(map(terms_of, rows.values()), shipment.carrier, day)
    if terms is None:
        return Panel(shipment.carrier, day, None, None)
    return Panel(shipment.carrier, day, rows[terms.key], reckon(parcel_of(shipment, currency), terms))
