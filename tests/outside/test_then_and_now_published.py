"""A price then, in the money of now, against published worked examples; and the figures the shop ships."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from catalog.pricing.rules import in_money_of

FIGURES = Path(__file__).resolve().parents[2] / "catalog" / "pricing" / "data" / "cpi_u_annual.csv"


def shipped() -> dict[int, Decimal]:
    lines = [line for line in FIGURES.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return {int(row["year"]): Decimal(row["cpi_u"]) for row in csv.DictReader(lines)}


@pytest.mark.parametrize(
    ("amount", "then", "now", "published"),
    [("0.25", 1950, 2017, "2.54"), ("7.00", 2017, 1950, "0.69")],
)
def test_the_examples_of_the_federal_reserve_bank_of_minneapolis(
    amount: str, then: int, now: int, published: str
) -> None:
    """Source, read in a stored copy: Federal Reserve Bank of Minneapolis, how its inflation calculator reckons."""
    index = shipped()
    assert in_money_of(Decimal(amount), index[then], index[now], digits=2) == Decimal(published)


@pytest.mark.parametrize(
    ("then", "now", "published"), [(1950, 1960, "122.82157676348547"), (1950, 2017, "1017.0954356846472")]
)
def test_a_hundred_dollars_by_another_programs_published_examples(
    then: int, now: int, published: str
) -> None:
    """Source, read in a stored copy: read-me of the Python library cpi, which reckons with the same annual averages.

    It prints the figures as its machine holds them, so its last digits are left out.
    """
    index = shipped()
    reckoned = in_money_of(Decimal(100), index[then], index[now], digits=10)
    assert reckoned == Decimal(published).quantize(Decimal(1).scaleb(-10))


def test_a_dollar_of_1975_in_2000() -> None:
    """Source, read in a stored copy: the example of File Exchange 14457, “inflate”, by the calculator of the BLS."""
    index = shipped()
    assert in_money_of(Decimal(1), index[1975], index[2000], digits=4) == Decimal("3.2007")


def test_a_list_price_of_1927_in_the_money_of_2025() -> None:
    """Worked by hand from the published annual averages: 100 × 321.943 ÷ 17.4 = 1,850.25."""
    assert in_money_of(Decimal(100), Decimal("17.4"), Decimal("321.943"), digits=2) == Decimal("1850.25")


@pytest.mark.parametrize(
    ("year", "published"),
    [
        (1913, "9.9"), (1924, "17.1"), (1927, "17.4"), (1930, "16.7"), (1934, "13.4"), (1939, "13.9"),
        (1941, "14.7"), (1950, "24.1"), (1970, "38.8"), (1980, "82.4"), (2000, "172.2"), (2020, "258.811"),
        (2024, "313.689"), (2025, "321.943"),
    ],
)  # fmt: skip
def test_the_figures_are_the_published_annual_averages(year: int, published: str) -> None:
    """Source: US Bureau of Labor Statistics, series CUUR0000SA0, annual average (M13), read from its published data."""
    assert shipped()[year] == Decimal(published)


def test_a_mean_of_rounded_months_would_not_do() -> None:
    """Source: as above. The twelve rounded months of 1933 have the mean 12.933; the published average is 13.0."""
    assert shipped()[1933] == Decimal("13.0")


def test_every_year_stands_there_once() -> None:
    years = list(shipped())
    assert years == list(range(1913, 2026))
