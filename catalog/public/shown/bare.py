"""What a program reads of an instrument: bare values, without the words that people need around them."""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from catalog.instruments.models import FoundNumber, Instrument, Measurement
from catalog.public.shown.wording import raised
from shop.money import minor_units
from shop.wording import inside, shipped

# A year, or a day, of which nothing is in doubt. Source: EDTF level 0, “Date”.
SURE = re.compile(r"[0-9]{4}(?:-[0-9]{2}-[0-9]{2})?")

# How the units of the record are called, and how many of its steps make one.
# Source: UN/ECE Recommendation 20, “Codes for Units of Measure Used in International Trade”.
UNIT_CODES = {
    "in64": ("INH", 64),
    "mm10": ("MMT", 10),
    "g": ("GRM", 1),
    "oz4": ("ONZ", 4),
    "lb100": ("LBR", 100),
}


@dataclass(frozen=True)
class Measured:
    """A measurement: an exact number with the code of its unit, empty for a plain count, or a word."""

    name: str
    number: Decimal | None
    unit: str
    word: str


@dataclass(frozen=True)
class NumberFound:
    """A number that was found, and where."""

    what: str
    value: str
    where: str


@dataclass(frozen=True)
class Bare:
    """`made_on` is empty unless the date is sure; `price` is a decimal with a dot, empty where none may be told."""

    serial: str
    numbers: list[NumberFound]
    made_on: str
    edtf: str
    price: str
    currency: str
    measured: list[Measured]


def bare(instrument: Any) -> Bare:
    """The bare values of an instrument that came through catalog.public.queries.pages."""
    numbers = list(instrument.numbers.all())
    return Bare(
        serial=next((row.value for row in numbers if _is_the_serial(row)), ""),
        numbers=[NumberFound(row.get_what_display(), row.value, _where(row)) for row in numbers],
        made_on=instrument.made_edtf if SURE.fullmatch(instrument.made_edtf) else "",
        edtf=instrument.made_edtf,
        price=_price(instrument),
        currency=instrument.currency,
        measured=[_measured(row) for row in instrument.measurements.all()],
    )


def _is_the_serial(row: FoundNumber) -> bool:
    """A number that is read in part may be another piece's."""
    return row.what == FoundNumber.What.SERIAL and row.legibility == FoundNumber.Legibility.CLEAR


def _where(row: FoundNumber) -> str:
    return f"{raised(row.where)}, {inside(row.get_legibility_display())}"


def _price(instrument: Any) -> str:
    if instrument.asking_price is None:
        return ""
    if instrument.state == Instrument.State.SOLD and not instrument.price_told:
        return ""
    return f"{instrument.asking_price:.{minor_units(instrument.currency)}f}"


def _measured(row: Measurement) -> Measured:
    name = shipped(row.measure.name)
    if row.amount is None:
        return Measured(name, None, "", shipped(row.word))
    code, steps = UNIT_CODES.get(row.unit, ("", 1))
    return Measured(name, Decimal(row.amount) / steps, code, "")
