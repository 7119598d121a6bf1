"""Minor units against ISO 4217, list one, as its maintenance agency published it; iso4217 carries that very file.

What CLDR says of the same codes is asked of Babel: it differs, and is right only for what is in no list one any more.
"""

from datetime import date
from decimal import Decimal

import iso4217
import pytest
from babel.numbers import get_currency_precision, list_currencies

from shop.money import NOT_TWO, Money, UnreadableAmount, display, minor_units, parse_amount

LIST_ONE = {currency.code: currency.exponent for currency in iso4217.Currency}
NOT_APPLICABLE = {code for code, digits in LIST_ONE.items() if digits is None}
FOUR = {code for code, digits in LIST_ONE.items() if digits == 4}
PAYABLE = sorted(LIST_ONE.keys() - NOT_APPLICABLE - FOUR - {"XAD"})  # Babel has no word for XAD yet


def test_the_list_is_the_one_that_the_table_names() -> None:
    assert iso4217.__published__ == date(2026, 1, 1)
    assert len(PAYABLE) > 150


def test_every_currency_has_the_minor_units_of_the_list() -> None:
    assert {code: minor_units(code) for code in PAYABLE} == {code: LIST_ONE[code] for code in PAYABLE}


def test_cldr_alone_would_be_wrong() -> None:
    """Else the table in our own code would be idle."""
    differing = {code for code in PAYABLE if get_currency_precision(code) != minor_units(code)}
    assert {"IQD", "RSD", "ALL", "LAK", "MGA", "AFN"} < differing


@pytest.mark.parametrize("code", sorted(NOT_APPLICABLE | FOUR | {"XAD", "usd", "", "QQQ"}))
def test_what_nobody_can_pay_a_shop_in_is_refused(code: str) -> None:
    with pytest.raises(UnreadableAmount) as refusal:
        minor_units(code)
    assert refusal.value.code == "unknown-currency"
    assert str(refusal.value).endswith("Write one such as USD.")
    assert ("four decimals" in str(refusal.value)) is (code in FOUR)


def test_a_withdrawn_currency_has_the_decimals_of_cldr() -> None:
    """List three, of withdrawn codes, gives no minor units."""
    withdrawn = list_currencies("en_US") - LIST_ONE.keys()
    assert {"ITL", "DEM"} < withdrawn
    assert {code: minor_units(code) for code in withdrawn} == {
        code: get_currency_precision(code) for code in withdrawn
    }
    assert NOT_TWO.keys() <= withdrawn | LIST_ONE.keys()


@pytest.mark.parametrize("code", PAYABLE)
def test_an_amount_is_written_with_its_minor_units_and_read_back(code: str) -> None:
    digits = LIST_ONE[code]
    assert digits is not None
    money = Money(Decimal(12345) + Decimal(1).scaleb(-digits), code)
    expected = f"12,345.{'1'.zfill(digits)}" if digits else "12,346"
    assert expected in display(money)
    assert parse_amount(display(money), code) == money
    assert display(Money(Decimal(12345), code)).rstrip("0123456789").endswith(",")
