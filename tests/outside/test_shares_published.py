"""Graduated rates against published tables and a published worked example."""

from decimal import Decimal
from functools import partial

import pytest

from catalog.pricing import share_rules
from catalog.pricing.share_rules import Terms, Tier

reckon = partial(share_rules.reckon, digits=2)


def graduated(*rows: tuple[str, str]) -> Terms:
    return Terms(tuple(Tier(Decimal(above), Decimal(percent)) for above, percent in rows))


# The federal income tax of the United States, tax year 2021, as an accountant's newsletter prints the table of the IRS
# (colmanknight.com/newsletter-march-2021, read): “$1,990 + 12% of excess over $19,900”, and so on. A graduated rate is
# the same rule whatever it is charged for, and this table prints what it comes to at each step.
JOINT = graduated(
    ("0", "10"),
    ("19900", "12"),
    ("81050", "22"),
    ("172750", "24"),
    ("329850", "32"),
    ("418850", "35"),
    ("628300", "37"),
)
SINGLE = graduated(
    ("0", "10"), ("9950", "12"), ("40525", "22"), ("86375", "24"), ("164925", "32"), ("209425", "35")
)


@pytest.mark.parametrize(
    ("amount", "comes_to"),
    [
        ("19900", "1990"),
        ("81050", "9328"),
        ("172750", "29502"),
        ("329850", "67206"),
        ("418850", "95686"),
        ("628300", "168993.50"),
    ],
)
def test_the_steps_of_the_table_for_two(amount: str, comes_to: str) -> None:
    assert reckon(Decimal(amount), JOINT).commission == Decimal(comes_to)


@pytest.mark.parametrize(
    ("amount", "comes_to"),
    [("9950", "995"), ("40525", "4664"), ("86375", "14751"), ("164925", "33603"), ("209425", "47843")],
)
def test_the_steps_of_the_table_for_one(amount: str, comes_to: str) -> None:
    assert reckon(Decimal(amount), SINGLE).commission == Decimal(comes_to)


def test_a_worked_example_of_a_table() -> None:
    """University of Utah, FCS 1450, slides of chapter 4, read: 75,000 in the joint table of 2006 gives 11,865."""
    table = graduated(("0", "10"), ("15100", "15"), ("61300", "25"))
    found = reckon(Decimal(75000), table)
    assert [part.commission for part in found.parts] == [1510, 6930, 3425]
    assert found.commission == 11865


def test_a_worked_example_of_a_commission() -> None:
    """bizfluent.com, “How to Calculate a Sliding Scale”, read: 50,000 at 10, 20, 30, 40 per cent comes to 14,000."""
    scale = graduated(("0", "10"), ("10000", "20"), ("20000", "30"), ("30000", "40"))
    found = reckon(Decimal(50000), scale)
    assert [part.commission for part in found.parts] == [1000, 2000, 3000, 8000]
    assert found.commission == 14000
