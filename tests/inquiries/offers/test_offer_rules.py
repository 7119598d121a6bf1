"""How an offer stands, and what it comes to: worked out by hand; the comparison is common practice, no source."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given as drawn
from hypothesis import strategies as st

from catalog.pricing.share_rules import flat
from inquiries.offers.rules import Figures, Given, Stands, compare, margin, spoken, stands_at

NOON = datetime(2026, 6, 10, 12, tzinfo=UTC)
TICK = timedelta(microseconds=1)
amounts = st.decimals(0, 10**6, places=2)


@pytest.mark.parametrize(
    ("until", "how", "ended_at", "stands"),
    [
        (None, "", None, Stands.OPEN),
        (NOON + TICK, "", None, Stands.OPEN),
        (NOON, "", None, Stands.LAPSED),
        (NOON - TICK, "", None, Stands.LAPSED),
        (None, "accepted", NOON, Stands.ACCEPTED),
        (None, "accepted", NOON + TICK, Stands.OPEN),
        (NOON, "declined", NOON - TICK, Stands.DECLINED),
        (NOON - TICK, "taken-back", NOON - 2 * TICK, Stands.TAKEN_BACK),
        (NOON + TICK, "replaced", NOON - TICK, Stands.REPLACED),
    ],
)
def test_an_offer_stands_as_its_end_says_and_lapses_at_the_very_instant(
    until: datetime | None, how: str, ended_at: datetime | None, stands: Stands
) -> None:
    assert stands_at(until, how, ended_at, at=NOON) == stands


@pytest.mark.parametrize(
    ("given", "figure", "amount", "of_figure", "of_given", "words"),
    [
        ("11000", "12500", "-1500", "-12.0", "-13.6", "$1,500 below, 12.0 per cent of it"),
        ("13000", "12500", "500", "4.0", "3.8", "$500 above, 4.0 per cent of it"),
        ("9000", "9000", "0", "0.0", "0.0", "The same"),
        ("0", "8000", "-8000", "-100.0", None, "$8,000 below, 100.0 per cent of it"),
        ("5000", "0", "5000", None, "100.0", "$5,000 above"),
        ("5000", "-20", "5020", None, "100.4", "$5,020 above"),
        ("800.04", "800.44", "-0.40", "0.0", "0.0", "$0.40 below, 0.0 per cent of it"),
        ("1005", "1000", "5", "0.5", "0.5", "$5 above, 0.5 per cent of it"),
        ("2003", "2000", "3", "0.2", "0.1", "$3 above, 0.2 per cent of it"),
    ],
)
def test_a_margin_is_told_as_an_amount_and_in_per_cent(
    given: str, figure: str, amount: str, of_figure: str | None, of_given: str | None, words: str
) -> None:
    found = margin(Decimal(given), Decimal(figure))
    assert found.amount == Decimal(amount)
    for got, expected in ((found.of_figure, of_figure), (found.of_given, of_given)):
        assert got == (None if expected is None else Decimal(expected))
    assert spoken(found, "USD") == words


@drawn(given=amounts, figure=amounts)
def test_margin_and_figure_give_the_offer_again(given: Decimal, figure: Decimal) -> None:
    found = margin(given, figure)
    assert figure + found.amount == given
    if found.of_figure is not None:
        assert abs(found.of_figure * figure / 100 - found.amount) <= figure * Decimal("0.0005")


@drawn(less=amounts, more=amounts, figure=amounts)
def test_who_gives_more_has_no_smaller_margin(less: Decimal, more: Decimal, figure: Decimal) -> None:
    less, more = sorted((less, more))
    assert margin(less, figure).amount <= margin(more, figure).amount


BOUGHT = Figures(Decimal(12500), Decimal(12500), Decimal(10500), Decimal(8000), cost_rows=3)


def test_a_piece_of_ours_is_held_against_price_floor_and_landed_cost() -> None:
    lines = compare(Given(Decimal(11000)), BOUGHT, "USD")
    assert [(line.key, line.figure, line.whole.amount) for line in lines] == [
        ("asked", Decimal(12500), Decimal(-1500)),
        ("floor", Decimal(10500), Decimal(500)),
        ("cost", Decimal(8000), Decimal(3000)),
    ]
    assert all(line.cash is None for line in lines)
    assert lines[-1].says == "The sum of 3 cost rows."
    assert spoken(lines[-1].whole, "USD", both=True) == (
        "$3,000 above, 37.5 per cent of it, 27.3 per cent of what is given"
    )


def test_a_trade_in_counts_at_our_value_and_the_money_is_told_alone() -> None:
    lines = compare(Given(Decimal(9000), Decimal(2500)), BOUGHT, "USD")
    assert [line.whole.amount for line in lines] == [-1000, 1000, 3500]
    assert [line.cash.amount for line in lines if line.cash] == [-3500, -1500, 1000]


@pytest.mark.parametrize("trade_in", [None, Decimal(0)])
def test_a_trade_in_that_is_not_counted_adds_nothing(trade_in: Decimal | None) -> None:
    offer = Given(Decimal(9000), trade_in)
    assert offer.whole == 9000
    assert compare(offer, BOUGHT, "USD")[0].cash is None


def test_of_a_consigned_piece_the_margin_is_our_share_less_our_costs() -> None:
    figures = Figures(Decimal(12500), Decimal(12500), None, Decimal(150), 1, flat(Decimal("20.00")))
    line = compare(Given(Decimal(9000), Decimal(2000)), figures, "USD")[-1]
    assert line.name == "Consignor’s share and landed cost"
    assert line.figure == Decimal(8950)  # 80 per cent of 11,000, and 150
    assert (line.whole.amount, line.cash and line.cash.amount) == (2050, 50)
    assert line.says == (
        "Our commission on $11,000, 20 per cent, is $2,200; the consignor has $8,800. "
        "The sum of 1 cost row is $150."
    )


def test_what_the_consignor_bears_is_ours_in_the_margin() -> None:
    figures = Figures(landed=Decimal(150), cost_rows=2, terms=flat(Decimal(20)), borne=Decimal(100))
    line = compare(Given(Decimal(11000)), figures, "USD")[-1]
    assert line.figure == Decimal(8850)  # 8,800 less 100, and the 150 that were spent
    assert line.whole.amount == 2150  # the commission less the 50 that are ours
    assert "Of the costs the consignor bears $100." in line.says


def test_a_price_that_was_changed_since_has_a_line_of_its_own() -> None:
    figures = Figures(asked=Decimal(12500), asking_now=Decimal(11900))
    keys = [(line.key, line.figure) for line in compare(Given(Decimal(11000)), figures, "USD")]
    assert keys == [("asked", 12500), ("asking-now", 11900)]


def test_what_is_not_known_has_no_line() -> None:
    assert compare(Given(Decimal(11000)), Figures(), "USD") == []
