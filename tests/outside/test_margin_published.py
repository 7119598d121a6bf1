"""The VAT on a margin, against published worked figures; the file names the source of each and how sure it is."""

import csv
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from inquiries.tax.rules import margin_tax

FIGURES = Path(__file__).parent / "data" / "vat_margin_examples.csv"


def items() -> list[dict[str, str]]:
    """The figures of the item scheme; the shop does not use the global one."""
    with FIGURES.open(encoding="utf-8") as file:
        return [row for row in csv.DictReader(file) if row["scheme"] == "item"]


def percent(row: dict[str, str]) -> Decimal:
    return Decimal(row["vat_rate"].removesuffix("%"))


def test_there_are_figures() -> None:
    assert len(items()) == 5


@pytest.mark.parametrize("row", items(), ids=lambda row: f"{row['purchase']} to {row['sale']}")
def test_the_published_figures(row: dict[str, str]) -> None:
    purchase, sale, margin = (Decimal(row[name]) for name in ("purchase", "sale", "margin"))
    due = margin_tax(purchase, sale, percent(row), "GBP")
    assert due == Decimal(row["vat_due"])
    assert sale - purchase == margin
    if margin > 0:
        assert margin - due == Decimal(row["net_margin"])


def test_sixty_to_a_hundred_at_fifteen_per_cent_is_not_margin_times_rate() -> None:
    """Directive 2006/112/EC, art. 315: 40 × 15 ÷ 115. A page that was read prints 6.00, which is 40 × 15 %."""
    due = margin_tax(Decimal(60), Decimal(100), Decimal(15), "USD")
    assert due == Decimal("5.22")
    assert due != (Decimal(40) * Decimal("0.15")).quantize(Decimal("0.01"), ROUND_HALF_UP)


@pytest.mark.parametrize(
    ("rate", "over", "under"), [(20, 1, 6), (21, 21, 121), (19, 19, 119), (25, 1, 5), (23, 23, 123)]
)
def test_the_fractions_of_the_rates(rate: int, over: int, under: int) -> None:
    """Worked from art. 315 of the Directive: at 20 % a sixth of the margin, and so on."""
    for margin in (Decimal(6), Decimal("605.50"), Decimal("1234.56")):
        expected = (margin * over / under).quantize(Decimal("0.01"), ROUND_HALF_UP)
        assert margin_tax(Decimal(100), Decimal(100) + margin, Decimal(rate), "EUR") == expected
