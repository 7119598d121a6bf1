"""What a parcel is charged by, against published worked figures; the file names the source of each and how sure it is.

The sources are secondary pages: a trade magazine on the rule of 18 August 2025, texts of online calculators, a
forwarder's fact sheet. No carrier is named, since the figures alone are tried.
"""

import csv
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from inquiries.shipping.rules import (
    Measured,
    Parcel,
    Side,
    Sides,
    Terms,
    Weight,
    billable,
    dimensional,
    length_and_girth,
    reckon,
)
from shop.units import GRAMS_PER_POUND, MM_PER_INCH

FIGURES = Path(__file__).parent / "data" / "dim_weight_examples.csv"
STARTS = date(2025, 8, 18)
MILLIMETRES = {"in": MM_PER_INCH, "cm": Fraction(10)}
FEATHER = Fraction(1)  # grams: the size alone decides


def rows() -> list[dict[str, str]]:
    with FIGURES.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def sides(unit: str, *lengths: str | float) -> Sides:
    first, second, third = (Fraction(str(length)) * MILLIMETRES[unit] for length in lengths)
    return first, second, third


def carton(row: dict[str, str]) -> Sides:
    return sides(row["unit"], row["length"], row["width"], row["height"])


def terms(row: dict[str, str]) -> Terms:
    return Terms(
        key=1,
        carrier="Mule Train",
        starts=STARTS,
        measured=Measured.INCHES if row["unit"] == "in" else Measured.CENTIMETRES,
        divisor=Decimal(row["divisor"]),
        side=Side(row["side"]),
        weight=Weight(row["weight"]),
    )


def called(row: dict[str, str]) -> str:
    return " ".join(row[name] for name in ("length", "width", "height", "unit", "divisor", "side", "weight"))


def test_there_are_figures() -> None:
    assert len(rows()) == 14
    assert {row["certainty"] for row in rows()} == {"read", "computed"}


@pytest.mark.parametrize("row", rows(), ids=called)
def test_the_published_figures(row: dict[str, str]) -> None:
    exact = dimensional(carton(row), terms(row))
    assert exact is not None
    assert abs(exact - Fraction(row["exact"])) <= Fraction(1, 2000)
    if row["billable"]:
        assert billable(Parcel(carton(row), FEATHER), terms(row)) == Fraction(row["billable"])


def test_the_greater_of_both_is_charged() -> None:
    """A forwarder's page: 50 × 50 × 50 cm at 6000 is 20.833 kg, and 80 when it weighs 80."""
    row = next(row for row in rows() if row["length"] == "50")
    assert billable(Parcel(carton(row), Fraction(80_000)), terms(row)) == 80


def test_eight_boxes_of_a_forwarder() -> None:
    """A forwarder's page: eight boxes of 60 × 40 × 20 cm at 6000 are 64 kg."""
    row = next(row for row in rows() if row["length"] == "60")
    one = dimensional(carton(row), terms(row))
    assert one is not None
    assert 8 * one == 64


@pytest.mark.parametrize(("inches", "centimetres"), [("139", "5022"), ("166", "5997")])
def test_divisors_in_both_units(inches: str, centimetres: str) -> None:
    """Computed from 1 in = 2.54 cm and 1 lb = 0.45359237 kg; in use they are rounded to 5000 and 6000."""
    box = sides("in", 48, 20, 10)
    pounds = dimensional(box, Terms(1, "x", STARTS, Measured.INCHES, Decimal(inches), side=Side.AS_IS))
    kilograms = dimensional(
        box, Terms(1, "x", STARTS, Measured.CENTIMETRES, Decimal(centimetres), side=Side.AS_IS)
    )
    assert pounds
    assert kilograms
    assert abs(pounds * GRAMS_PER_POUND / 1000 / kilograms - 1) < Fraction(1, 10_000)


def test_a_rule_that_begins_above_a_cubic_foot() -> None:
    """From memory: 166 above 1,728 cubic inches. A foot each way is not above it, and an inch more is."""
    terms = Terms(1, "x", STARTS, divisor=Decimal(166), above=Decimal(1728))
    assert dimensional(sides("in", 12, 12, 12), terms) is None
    assert dimensional(sides("in", 13, 12, 12), terms) == Fraction(1872, 166)
    assert billable(Parcel(sides("in", 12, 12, 12), 3 * GRAMS_PER_POUND), terms) == 3


@pytest.mark.parametrize(
    ("box", "girth", "over"),
    [
        ((48, 20, 10), 108, 0),
        ((108, 18, 10), 164, 0),
        ((108, 18, 10.5), 166, 1),  # 10.5 counts as 11
        ((65, 30, 20), 165, 0),
        ((109, 10, 10), 149, 1),
        ((109, 20, 20), 189, 2),
    ],
)
def test_length_and_girth_by_the_usual_limits(box: tuple[float, float, float], girth: int, over: int) -> None:
    """From memory: 108 in long, 165 in length plus girth, girth being twice width and height. At it is not over it."""
    terms = Terms(1, "x", STARTS, girth_limit=Decimal(165), longest=Decimal(108))
    assert length_and_girth(sides("in", *box), terms) == girth
    assert len(reckon(Parcel(sides("in", *box)), terms).cautions) == over


@pytest.mark.parametrize(("pounds", "over"), [("150", 0), ("150.01", 1)])
def test_the_usual_limit_of_weight(pounds: str, over: int) -> None:
    """From memory: 150 lb."""
    parcel = Parcel(grams=Fraction(pounds) * GRAMS_PER_POUND)
    assert len(reckon(parcel, Terms(1, "x", STARTS, heaviest=Decimal(150))).cautions) == over
