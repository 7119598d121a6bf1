"""Money: one currency, its minor units, half up; what a dealer may type and what is printed."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.money import (
    MixedCurrencies,
    Money,
    UnreadableAmount,
    display,
    minor_units,
    parse_amount,
    total,
    zero,
)

CENTS = st.integers(-(10**11), 10**11)


def usd(text: str) -> Money:
    return Money(Decimal(text), "USD")


@pytest.mark.parametrize(
    ("currency", "digits"), [("USD", 2), ("EUR", 2), ("JPY", 0), ("KWD", 3), ("IQD", 3), ("RSD", 2)]
)
def test_minor_units_are_the_published_ones(currency: str, digits: int) -> None:
    """Source: ISO 4217, list one (minor units), read; tests/outside has the whole list."""
    assert minor_units(currency) == digits
    assert Money(Decimal("1.23456"), currency).amount.as_tuple().exponent == -digits


@pytest.mark.parametrize(
    ("amount", "currency", "kept"),
    [
        ("10.005", "USD", "10.01"),
        ("10.004999", "USD", "10.00"),
        ("-10.005", "USD", "-10.01"),
        ("2.5", "JPY", "3"),
        ("0.0005", "KWD", "0.001"),
        ("-0.001", "USD", "0.00"),
    ],
)
def test_a_half_goes_up_away_from_nought(amount: str, currency: str, kept: str) -> None:
    """Common practice, no source; half to even would give 10.00, 2 and 0.000."""
    assert str(Money(Decimal(amount), currency).amount) == kept


@pytest.mark.parametrize(
    ("typed", "currency", "amount"),
    [
        ("12,500", "USD", "12500.00"),
        ("12500.00", "USD", "12500.00"),
        ("$12,500", "USD", "12500.00"),
        (" $ 12,500.50 ", "USD", "12500.50"),
        ("USD 12,500", "USD", "12500.00"),
        ("12,500 USD", "USD", "12500.00"),
        ("1,250,000", "USD", "1250000.00"),
        ("0", "USD", "0.00"),
        ("¥12,346", "JPY", "12346"),
        ("12.500", "KWD", "12.500"),
        ("IQD 12,500.005", "IQD", "12500.005"),
        ("12500.50", "RSD", "12500.50"),
        ("F CFA 12,500", "XOF", "12500"),
    ],
)
def test_an_amount_is_read_as_typed(typed: str, currency: str, amount: str) -> None:
    money = parse_amount(typed, currency)
    assert (str(money.amount), money.currency) == (amount, currency)


@pytest.mark.parametrize(
    ("typed", "currency", "code", "sentence"),
    [
        ("-5", "USD", "negative", "“-5” is below nought. Write the amount without a sign."),
        ("-$5", "USD", "negative", "“-$5” is below nought. Write the amount without a sign."),
        ("$-5", "USD", "negative", "“$-5” is below nought. Write the amount without a sign."),
        ("(5)", "USD", "negative", "“(5)” is below nought. Write the amount without a sign."),
        ("NaN", "USD", "unreadable", "“NaN” cannot be read. Write it as 12,500 or 12500.00, in USD."),
        (
            "12.500",
            "USD",
            "ambiguous",
            "“12.500” can be read in two ways. Write it as 12,500 or 12500.00, in USD.",
        ),
        (
            "12.5",
            "USD",
            "ambiguous",
            "“12.5” can be read in two ways. Write it as 12,500 or 12500.00, in USD.",
        ),
        (
            "5.00",
            "JPY",
            "ambiguous",
            "“5.00” can be read in two ways. Write it as 12,500, without decimals, in JPY.",
        ),
    ],
)
def test_an_amount_in_doubt_is_refused_with_what_to_type(
    typed: str, currency: str, code: str, sentence: str
) -> None:
    with pytest.raises(UnreadableAmount) as refusal:
        parse_amount(typed, currency)
    assert (refusal.value.code, str(refusal.value)) == (code, sentence)


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "$",
        "12,50",
        "1,2500",
        "0,500",
        "12.500,00",
        "€5",
        "Infinity",
        "1e5",
        "5 000",
        "٥",
        "1" * 13,
        "5$5",
    ],
)
def test_what_is_no_amount_is_refused(typed: str) -> None:
    with pytest.raises(UnreadableAmount) as refusal:
        parse_amount(typed, "USD")
    assert refusal.value.code == "unreadable"


def test_a_decimal_that_is_not_kept_is_refused_not_lost() -> None:
    with pytest.raises(UnreadableAmount) as refusal:
        parse_amount("12,500.125", "KWD", kept=2)
    sentence = "“12,500.125” has more decimals than the 2 that are kept here. Write one such as 12500.120."
    assert (refusal.value.code, str(refusal.value)) == ("too-fine", sentence)
    assert parse_amount("12500.120", "KWD", kept=2) == Money(Decimal("12500.12"), "KWD")
    assert parse_amount("12,500.125", "KWD") == Money(Decimal("12500.125"), "KWD")


@pytest.mark.parametrize(
    ("amount", "currency", "shown"),
    [
        ("12500", "USD", "$12,500"),
        ("12500.5", "USD", "$12,500.50"),
        ("-12500.5", "USD", "-$12,500.50"),
        ("-12500", "USD", "-$12,500"),
        ("0", "USD", "$0"),
        ("12346", "JPY", "¥12,346"),
        ("999999999999.99", "USD", "$999,999,999,999.99"),
        ("1250.5", "KWD", "KWD1,250.500"),
        ("1250.005", "IQD", "IQD1,250.005"),  # CLDR writes none of its decimals
        ("1250.5", "RSD", "RSD1,250.50"),
    ],
)
def test_an_amount_is_printed_for_readers_of_us_english(amount: str, currency: str, shown: str) -> None:
    money = Money(Decimal(amount), currency)
    assert display(money) == str(money) == shown


@given(st.integers(0, 10**14 - 1), st.sampled_from(["USD", "JPY", "KWD"]))
def test_an_amount_reads_its_own_display(minor: int, currency: str) -> None:
    money = Money(Decimal(minor).scaleb(-3), currency) if minor < 10**12 else zero(currency)
    assert parse_amount(display(money), currency) == money


@given(st.lists(CENTS))
def test_a_sum_is_exact_to_the_cent_in_any_order(cents: list[int]) -> None:
    amounts = [Money(Decimal(c).scaleb(-2), "USD") for c in cents]
    expected = Money(Decimal(sum(cents)).scaleb(-2), "USD")
    assert total(amounts, "USD") == total(reversed(amounts), "USD") == expected


@given(CENTS, CENTS)
def test_taking_away_undoes_adding(one: int, other: int) -> None:
    first, second = Money(Decimal(one).scaleb(-2), "USD"), Money(Decimal(other).scaleb(-2), "USD")
    assert first + second - second == first
    assert first - second == -(second - first)
    assert (first < second) == (one < other)
    assert (first >= second) == (one >= other)


def test_a_rate_is_rounded_once_half_up() -> None:
    assert usd("1250.10") * Decimal("0.25") == usd("312.53")
    assert usd("0.10") * 3 == usd("0.30")


def test_nothing_sums_to_nothing() -> None:
    assert total([], "JPY") == zero("JPY")
    assert not zero("JPY")
    assert usd("0.01")


def test_two_currencies_never_meet() -> None:
    yen = Money(Decimal(5), "JPY")
    sentence = "USD and JPY cannot be put together. Give both amounts in one currency."
    for meet in (usd("5").__add__, usd("5").__sub__, usd("5").__lt__):
        with pytest.raises(MixedCurrencies) as refusal:
            meet(yen)
        assert (str(refusal.value), refusal.value.code) == (sentence, "mixed-currencies")
    with pytest.raises(MixedCurrencies):
        total([usd("5"), yen], "USD")
    assert usd("5") != yen


@pytest.mark.parametrize("amount", ["NaN", "Infinity", "-Infinity"])
def test_what_is_no_number_is_no_money(amount: str) -> None:
    with pytest.raises(UnreadableAmount, match="Write a number"):
        usd(amount)


def test_a_float_is_no_money() -> None:
    with pytest.raises(TypeError, match="Decimal"):
        Money(0.1, "USD")  # type: ignore[arg-type]


def test_an_unknown_currency_is_refused() -> None:
    with pytest.raises(UnreadableAmount) as refusal:
        Money(Decimal(1), "QQQ")
    assert refusal.value.code == "unknown-currency"


def test_an_amount_too_long_for_a_decimal_is_refused() -> None:
    with pytest.raises(UnreadableAmount) as refusal:
        usd("1e40")
    assert refusal.value.code == "too-long"
