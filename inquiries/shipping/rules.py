"""What a carrier charges a parcel by, and what it takes, from values alone. A caution never stops a parcel.

Sources: dimensional weight as length × width × height ÷ divisor, each side rounded up first, and the greater of it and
the weight on the scale, a trade magazine's table on a rule of 18 August 2025, read; a divisor in cubic centimetres per
kilogram, a forwarder's fact sheet, read; a rule that begins above a volume, and length plus girth, from memory.
The figures are rows of the shop (models.CarrierRule), since every carrier has its own and changes them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from math import ceil, floor
from typing import Final, NamedTuple

from shop.money import Money
from shop.units import GRAMS_PER_POUND, MM_PER_INCH

Sides = tuple[Fraction, Fraction, Fraction]


class Measured(StrEnum):
    """In what a carrier measures and weighs."""

    INCHES = "inches"
    CENTIMETRES = "centimetres"


class Side(StrEnum):
    """What becomes of a side that is no whole inch or centimetre."""

    UP = "up"
    NEAREST = "nearest"
    AS_IS = "as-is"


class Weight(StrEnum):
    """What becomes of a weight that is no whole pound or kilogram."""

    WHOLE = "whole"
    HALF = "half"
    AS_IS = "as-is"


class Words(NamedTuple):
    """How a unit is said, and what it is exactly."""

    side: str
    weight: str
    one_weight: str
    volume: str
    millimetres: Fraction
    grams: Fraction


SAID: Final = {
    Measured.INCHES: Words("in", "lb", "pound", "cubic inches", MM_PER_INCH, GRAMS_PER_POUND),
    Measured.CENTIMETRES: Words("cm", "kg", "kilogram", "cubic centimetres", Fraction(10), Fraction(1000)),
}


@dataclass(frozen=True)
class Terms:
    """What one carrier writes, from a day on, until a later row. What it does not write is None."""

    key: int
    carrier: str
    starts: date
    measured: Measured = Measured.INCHES
    divisor: Decimal | None = None
    above: Decimal | None = None  # the volume above which dimensional weight applies; None: always
    side: Side = Side.UP
    weight: Weight = Weight.WHOLE
    girth_limit: Decimal | None = None  # of length plus girth
    longest: Decimal | None = None
    heaviest: Decimal | None = None
    declared_limit: Money | None = None


@dataclass(frozen=True)
class Parcel:
    """A carton in millimetres and grams, as far as it is known, and the value declared."""

    sides: Sides | None = None
    grams: Fraction | None = None
    declared: Money | None = None


class Figure(NamedTuple):
    """One figure and how it came about."""

    name: str
    value: str
    why: str


@dataclass(frozen=True)
class Reckoned:
    """The figures of a parcel, and what it is over."""

    figures: tuple[Figure, ...]
    cautions: tuple[str, ...]


def same_carrier(one: str, other: str) -> bool:
    """Whether two names are one carrier: capitals and spaces do not matter."""
    return one.casefold().split() == other.casefold().split()


def terms_on(terms: Iterable[Terms], carrier: str, day: date) -> Terms | None:
    """What holds for a carrier on a day: the row that began last; of two of one day, the one added later."""
    begun = [one for one in terms if one.starts <= day and same_carrier(one.carrier, carrier)]
    return max(begun, key=lambda one: (one.starts, one.key), default=None)


def sides_of(sides: Sides, terms: Terms) -> Sides:
    """The sides in the carrier's unit, rounded as it rounds them, the longest first."""
    unit = SAID[terms.measured].millimetres
    first, second, third = sorted((_side(side / unit, terms.side) for side in sides), reverse=True)
    return first, second, third


def _side(side: Fraction, how: Side) -> Fraction:
    if how is Side.AS_IS:
        return side
    return Fraction(ceil(side) if how is Side.UP else floor(side + Fraction(1, 2)))


def rounded(weight: Fraction, how: Weight) -> Fraction:
    """A weight as it is charged: never less than it is."""
    if how is Weight.AS_IS:
        return weight
    return Fraction(ceil(weight)) if how is Weight.WHOLE else Fraction(ceil(weight * 2), 2)


def dimensional(sides: Sides, terms: Terms) -> Fraction | None:
    """The weight that a carton of this size counts for, not yet rounded; None where none is reckoned."""
    length, width, height = sides_of(sides, terms)
    volume = length * width * height
    if terms.divisor is None or (terms.above is not None and volume <= Fraction(terms.above)):
        return None
    return volume / Fraction(terms.divisor)


def length_and_girth(sides: Sides, terms: Terms) -> Fraction:
    """The longest side, and once around the other two."""
    length, width, height = sides_of(sides, terms)
    return length + 2 * (width + height)


def billable(parcel: Parcel, terms: Terms) -> Fraction | None:
    """The greater of dimensional and actual weight, rounded up; None while one that counts is not known."""
    if parcel.grams is None or (parcel.sides is None and terms.divisor is not None):
        return None
    actual = parcel.grams / SAID[terms.measured].grams
    by_size = dimensional(parcel.sides, terms) if parcel.sides is not None else None
    return rounded(max(actual, by_size or actual), terms.weight)


def reckon(parcel: Parcel, terms: Terms) -> Reckoned:
    """Every figure that the carton gives, each with its rule, and a caution for each limit it is over."""
    figures = (
        _billable(parcel, terms),
        _by_size(parcel, terms),
        _girth(parcel, terms),
        _declared(parcel, terms),
    )
    return Reckoned(tuple(figure for figure in figures if figure), tuple(_cautions(parcel, terms)))


def _billable(parcel: Parcel, terms: Terms) -> Figure:
    said, weight = SAID[terms.measured], billable(parcel, terms)
    if weight is None:
        lacking = "the weight" if parcel.grams is None else "the three sides"
        return Figure("Billable weight", "Cannot be told", f"It needs {lacking} of the carton.")
    why = f"The greater of dimensional and actual weight{_how_rounded(terms)}."
    if parcel.sides is None or dimensional(parcel.sides, terms) is None:
        why = f"The actual weight{_how_rounded(terms)}."
    return Figure("Billable weight", f"{plain(weight)} {said.weight}", why)


def _by_size(parcel: Parcel, terms: Terms) -> Figure | None:
    if parcel.sides is None:
        return None
    said, weight = SAID[terms.measured], dimensional(parcel.sides, terms)
    if terms.divisor is None:
        return Figure("Dimensional weight", "None", "The carrier charges by weight alone.")
    if weight is None:
        return Figure(
            "Dimensional weight", "None", f"It applies above {plain(terms.above or 0)} {said.volume}."
        )
    sides = " × ".join(plain(side) for side in sides_of(parcel.sides, terms))
    why = (
        f"{sides} {said.side} ÷ {plain(terms.divisor)} {said.volume} per {said.one_weight}"
        f" is {plain(weight)}{_how_rounded(terms)}; {_how_sides(terms)}."
    )
    return Figure("Dimensional weight", f"{plain(rounded(weight, terms.weight))} {said.weight}", why)


def _girth(parcel: Parcel, terms: Terms) -> Figure | None:
    if parcel.sides is None:
        return None
    unit = SAID[terms.measured].side
    length, width, height = (plain(side) for side in sides_of(parcel.sides, terms))
    limit = (
        "no limit is written down"
        if terms.girth_limit is None
        else f"the limit is {plain(terms.girth_limit)} {unit}"
    )
    why = f"{length} + 2 × ({width} + {height}) {unit}; {limit}."
    return Figure("Length plus girth", f"{plain(length_and_girth(parcel.sides, terms))} {unit}", why)


def _declared(parcel: Parcel, terms: Terms) -> Figure | None:
    if parcel.declared is None:
        return None
    limit = terms.declared_limit
    why = "No limit is written down." if limit is None else f"The limit is {limit}."
    if limit is not None and limit.currency != parcel.declared.currency:
        why = f"The limit, {limit}, is in another currency and was not compared."
    return Figure("Declared value", str(parcel.declared), why)


def _cautions(parcel: Parcel, terms: Terms) -> Iterable[str]:
    said = SAID[terms.measured]
    measured: list[tuple[str, Fraction | None, Decimal | None, str]] = [
        ("The longest side", parcel.sides and sides_of(parcel.sides, terms)[0], terms.longest, said.side),
        ("Length plus girth", parcel.sides and length_and_girth(parcel.sides, terms), terms.girth_limit, said.side),
        ("The weight", None if parcel.grams is None else parcel.grams / said.grams, terms.heaviest, said.weight),
    ]  # fmt: skip
    for name, value, limit, unit in measured:
        if value is not None and limit is not None and value > Fraction(limit):
            yield (
                f"{name}, {plain(value)} {unit}, is over the {plain(limit)} {unit} that {terms.carrier} takes;"
                " it may be refused."
            )
    declared, most = parcel.declared, terms.declared_limit
    if declared and most and declared.currency == most.currency and declared.amount > most.amount:
        yield (
            f"The declared value, {declared}, is over the {most} that {terms.carrier} answers for."
            " A declared value is no insurance: ask your insurer before it leaves."
        )


def _how_rounded(terms: Terms) -> str:
    one = SAID[terms.measured].one_weight
    return {
        Weight.WHOLE: f", up to a whole {one}",
        Weight.HALF: f", up to half a {one}",
        Weight.AS_IS: ", not rounded",
    }[terms.weight]


def _how_sides(terms: Terms) -> str:
    return {
        Side.UP: f"each side up to a whole {_one_side(terms)}",
        Side.NEAREST: f"each side to the nearest {_one_side(terms)}",
        Side.AS_IS: "the sides as they are",
    }[terms.side]


def _one_side(terms: Terms) -> str:
    return "inch" if terms.measured is Measured.INCHES else "centimetre"


def plain(value: Fraction | Decimal | int) -> str:
    """A figure to three decimals without idle noughts; half goes up."""
    thousandths = floor(Fraction(value) * 1000 + Fraction(1, 2))
    return f"{(Decimal(thousandths) / 1000).normalize():,f}"
