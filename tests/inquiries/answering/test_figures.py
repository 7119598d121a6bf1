"""Amounts in a text, in any writing. The writings are common practice, no source."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.answering.figures import figures_in
from tests.inquiries.answering.writings import WRITINGS, in_words


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12,500", "12500"),
        ("12500", "12500"),
        ("12.500", "12500"),
        ("$12.5k", "12500"),
        ("12 500,00", "12500"),
        ("12\u00a0500", "12500"),
        ("12\u202f500", "12500"),
        ("12'500", "12500"),
        ("12’500.00", "12500"),
        ("USD 12500", "12500"),
        ("12.500,-", "12500"),
        ("€12.500,00", "12500"),
        ("１２５００", "12500"),
        ("12k5", "12500"),
        ("12½k", "12500"),
        ("12 thousand 500", "12500"),
        ("12.5 thousand", "12500"),
        ("twelve thousand five hundred", "12500"),
        ("Twelve Thousand, Five Hundred dollars", "12500"),
        ("twelve-thousand-five-hundred", "12500"),
        ("twelve thousand\nfive hundred", "12500"),
        ("twelve and a half thousand", "12500"),
        ("12 and a half grand", "12500"),
        ("twelve point five thousand", "12500"),
        ("twelve five", "12500"),
        ("ninety-eight fifty", "9850"),
        ("twenty-five hundred", "2500"),
        ("a hundred and twenty dollars", "120"),
        ("nine thousand eight hundred and seventy-six", "9876"),
        ("1.25 million", "1250000"),
        ("9.876,54", "9876.54"),
        ("9,876.54", "9876.54"),
    ],
)
def test_a_figure_is_read_in_every_writing(text: str, value: str) -> None:
    found = figures_in(f"We said {text} and no more.")
    assert len(found) == 1
    assert Decimal(value) in found[0].values
    start, end = found[0].start, found[0].end
    assert f"We said {text} and no more."[start:end].strip() == text


@pytest.mark.parametrize(
    "text",
    ["It weighs 2,810 g.", "It is 667 mm long.", "one two three", "A banjo and a half", "thousands of them"],
)
def test_what_is_no_amount_is_not_read_as_money(text: str) -> None:
    assert not [figure for figure in figures_in(text) if figure.money]


def test_a_share_is_told_from_an_amount() -> None:
    shares = [figure for figure in figures_in("20 % or twenty per cent or 20 percent") if figure.share]
    assert [figure.values for figure in shares] == [frozenset({Decimal(20)})] * 3


def test_two_figures_are_two() -> None:
    found = figures_in("from 12,500 to 13,000, not fourteen thousand")
    assert [max(figure.values) for figure in found] == [12500, 13000, 14000]


@given(st.integers(1000, 9_999_999), st.sampled_from(sorted(WRITINGS)))
def test_every_amount_is_read_as_it_was_written(amount: int, writing: str) -> None:
    written = WRITINGS[writing](amount)
    assert any(Decimal(amount) in figure.values for figure in figures_in(f"Well, {written} it is."))


@given(st.integers(1, 9_999_999))
def test_numbers_in_words_come_to_what_they_say(amount: int) -> None:
    assert [figure.values for figure in figures_in(in_words(amount))] == [frozenset({Decimal(amount)})]
