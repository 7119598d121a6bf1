"""What the public reads of the price when new: every figure with its source and its year, and no valuation."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from catalog.models import Instrument, ListPrice, PriceIndex
from catalog.pricing.index_actions import load_index
from catalog.pricing.rules import Figures
from catalog.public.shown.then_and_now import in_money_of_now
from shop.money import Money
from tests.factories import NOON, InstrumentFactory, ShopFactory

pytestmark = pytest.mark.django_db

LIST = "Ostrander catalogue of 1927"


@pytest.fixture(autouse=True)
def shop() -> None:
    ShopFactory()


def piece(**more: Any) -> Instrument:
    values = {"made": "1927", "made_edtf": "1927", "made_earliest": 1927, "made_latest": 1927}
    return InstrumentFactory(listed=True, **values | more)


def price(instrument: Instrument, **more: Any) -> ListPrice:
    values = {"year": 1927, "amount": Decimal(125), "currency": "USD", "source": LIST, "page": "12"}
    return ListPrice.objects.create(model=instrument.model, **values | more)


def told(client: Client, instrument: Instrument) -> str:
    shown = client.get(instrument.get_absolute_url()).context["listing"].then_and_now
    return " ".join(shown.sentences) if shown else ""


def test_without_a_list_price_nothing_is_said(client: Client) -> None:
    instrument = piece()
    assert "The price when it was new" not in client.get(instrument.get_absolute_url()).content.decode()


def test_the_price_then_and_in_the_money_of_the_latest_year(client: Client) -> None:
    """125 × 321.943 ÷ 17.4 = 2312.80, by hand from the published averages."""
    instrument = piece()
    price(instrument)
    assert told(client, instrument) == (
        "New in 1927 it cost $125 (Ostrander catalogue of 1927, p. 12); about $2,313 in the money of 2025, "
        "by US consumer prices (CPI-U). That is a change of money, not a valuation."
    )
    text = client.get(instrument.get_absolute_url()).content.decode()
    assert "$125 × 321.943 (2025) ÷ 17.4 (1927)" in text
    assert "US Bureau of Labor Statistics" in text


def test_what_it_was_for_and_every_price_of_that_year(client: Client) -> None:
    instrument = piece()
    price(instrument, what="Without case", page="")
    price(instrument, amount=Decimal("140.50"), what="gold-plated", page="plate 3")
    says = told(client, instrument)
    assert "it cost $125, without case (Ostrander catalogue of 1927);" in says
    assert "it cost $140.50, gold-plated (Ostrander catalogue of 1927, plate 3);" in says
    assert says.count("not a valuation") == 1


def test_a_price_of_another_year_says_so(client: Client) -> None:
    instrument = piece(made="c. 1931", made_edtf="1931~", made_earliest=1931, made_latest=1931)
    price(instrument)
    assert told(client, instrument).startswith(
        "No list price is known here for its date, c. 1931. The nearest is of 1927. "
        "In 1927 this model, new, cost $125 (Ostrander"
    )


def test_without_a_date_no_price_speaks(client: Client) -> None:
    instrument = piece(made="", made_edtf="", made_earliest=None, made_latest=None)
    price(instrument)
    assert told(client, instrument) == ""


def test_a_year_before_the_index_stands_as_it_was(client: Client) -> None:
    instrument = piece(made="1905", made_edtf="1905", made_earliest=1905, made_latest=1905)
    price(instrument, year=1905, page="")
    assert told(client, instrument) == (
        "New in 1905 it cost $125 (Ostrander catalogue of 1927). The index “US consumer prices (CPI-U)” runs from 1913 "
        "to 2025, so the amount of 1905 stands as it was."
    )


def test_another_currency_is_told_by_its_own_index_or_not_at_all(client: Client) -> None:
    instrument = piece()
    price(instrument, amount=Decimal(20), currency="GBP")
    assert told(client, instrument) == (
        "New in 1927 it cost £20 (Ostrander catalogue of 1927, p. 12). There is no price index in GBP here, "
        "so the amount stands as it was."
    )
    valley = {1927: Decimal(10), 1990: Decimal(25)}
    load_index("Prices of the valley", "GBP", "The valley’s almanac", valley, by=None, at=NOON)
    assert "; about £50 in the money of 1990, by Prices of the valley." in told(client, instrument)


def test_the_index_loaded_last_is_the_one_in_use(client: Client) -> None:
    instrument = piece()
    price(instrument)
    PriceIndex.objects.update(loaded_at=NOON)
    later = NOON.replace(hour=13)
    figures = {1927: Decimal(1), 2020: Decimal(3)}
    load_index("Wages of joiners", "USD", "The joiners’ union", figures, by=None, at=later)
    assert "about $375 in the money of 2020, by Wages of joiners" in told(client, instrument)


def test_a_few_cents_are_not_rounded_to_nothing(client: Client) -> None:
    instrument = piece()
    price(instrument, amount=Decimal("0.02"))
    assert "about $0.37 in the money of 2025" in told(client, instrument)


@pytest.mark.parametrize(
    ("amount", "currency", "shown"),
    [
        ("1", "JPY", "0"),  # 0.495: to hundredths first it would be 0.50, and then 1
        ("0.900", "KWD", "0.446"),  # 0.4455
        ("0.90", "USD", "0.45"),
        ("2", "JPY", "1"),  # 0.99
        ("1000", "KWD", "495.000"),
    ],
)
def test_the_price_of_now_is_rounded_once(amount: str, currency: str, shown: str) -> None:
    """In whole units; under half of one in the least unit of the currency. Worked by hand."""
    now = in_money_of_now(Money(Decimal(amount), currency), Figures(1927, Decimal(1000), 2025, Decimal(495)))
    assert str(now.amount) == shown
