"""The tax owed of a month and of its quarter, by the rows and by the accounts: the same to the cent."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from random import Random

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.models import Acquisition, Cost
from inquiries.models import Sale
from inquiries.review.tax_owed import tax_owed
from inquiries.sales.actions import close_sale
from shop.models import ShopProfile
from shop.months import Month
from tests.factories import NOON, ContactFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import delivered, fresh, opened
from tests.inquiries.tax.test_booked import bought, owed, vermont
from tests.inquiries.tax.test_pages import policy, rate

__all__ = ["vermont"]

DAY = timedelta(days=1)
JUNE = Month(2026, 6)
BEGINS, ENDS = datetime(2026, 6, 1, 4, tzinfo=UTC), datetime(2026, 7, 1, 4, tzinfo=UTC)  # in Vermont


def sold(price: str, *, paid: str = "", at: datetime = NOON, shipping: str = "0", vat: bool = False) -> Sale:
    """A sale to a buyer in the state, closed at `at`."""
    buyer = ContactFactory(address="4 Mill Lane\nBurlington, VT 05401", country="US")
    sale = opened(price=price, deposit="1.00", shipping=shipping, contact=buyer, at=at - 5 * DAY)
    if paid:
        bought(sale, paid, vat_charged=vat)
    return fresh(close_sale(delivered(sale, at=at - 4 * DAY), by=None, at=at))


def lines(shop: ShopProfile, start: datetime = BEGINS, end: datetime = ENDS) -> list[tuple[object, ...]]:
    found = tax_owed(start, end, shop)
    assert found.different == []
    assert found.sums == found.by_accounts
    return [
        (line.head.scheme, line.head.rates, line.head.percent, line.many, line.price, line.shipping, line.tax)
        for line in found.lines
    ]


def test_sales_are_put_together_by_how_they_are_taxed(vermont: ShopProfile) -> None:
    rate("15", jurisdiction="Inland"), policy("vat-margin")
    sold("100.00", paid="60.00"), sold("230.00", paid="115.00", shipping="20.00")
    sold("115.00", paid="60.00", vat=True)
    policy("sales-tax", starts=date(2026, 6, 20)), rate("5", jurisdiction="Inland", starts=date(2026, 6, 20))
    sold("1000.00", at=NOON + 16 * DAY)
    assert lines(vermont) == [
        ("Sales tax", "Inland", "5", 1, Decimal(1000), 0, Decimal("50.00")),
        (
            "VAT, margin scheme",
            "Inland",
            "15",
            2,
            Decimal(330),
            Decimal(20),
            Decimal("20.22"),
        ),  # 5.22 + 15.00
        ("VAT, normal rules", "Inland", "15", 1, Decimal(115), 0, Decimal("15.00")),
    ]


def test_a_sale_falls_into_the_month_in_which_it_closed_by_the_shops_clock(vermont: ShopProfile) -> None:
    rate("15"), policy("vat-normal")
    tick = timedelta(microseconds=1)
    for at in (BEGINS - tick, BEGINS, ENDS - tick, ENDS):
        sold("115.00", at=at)
    assert [line[3:] for line in lines(vermont)] == [(2, Decimal(230), 0, Decimal("30.00"))]


def test_both_ways_agree_over_drawn_sales(vermont: ShopProfile) -> None:
    draw = Random(11)
    rate("17.3"), policy("vat-margin")
    policy("vat-normal", starts=date(2026, 6, 16))
    for _ in range(8):
        price, paid = (Decimal(draw.randint(100, 999_999)) / 100 for _ in range(2))
        at = BEGINS + timedelta(hours=draw.randint(0, 30 * 24 - 1))
        sold(str(price), paid=str(paid), at=at, vat=draw.random() < 0.3)
    found = tax_owed(BEGINS, ENDS, vermont)
    assert found.different == []
    assert sum(line.many for line in found.lines) == 8
    assert found.sums == found.by_accounts == {"USD": sum(owed(sale) for sale in Sale.objects.all())}


def test_what_was_written_down_later_is_named(owners: Client, vermont: ShopProfile, clock: Clock) -> None:
    rate("15"), policy("vat-margin")
    sale = sold("100.00", paid="60.00")
    Cost.objects.create(
        instrument=sale.instrument, kind="purchase", amount=10, currency="USD", on=NOON.date(), at=NOON
    )
    (one,) = tax_owed(BEGINS, ENDS, vermont).different
    assert (one.number, str(one.by_rows), str(one.by_accounts)) == (sale.number, "$3.91", "$5.22")
    clock.on(days=1)
    text = owners.get(reverse("month-tax", args=[JUNE])).text
    assert "$3.91 by what is written down now, $5.22 by the accounts" in text


def test_the_page_shows_the_month_and_its_quarter_to_the_owner(
    owners: Client, helpers: Client, vermont: ShopProfile, clock: Clock
) -> None:
    rate("15"), policy("vat-normal")
    sold("115.00", at=BEGINS - DAY), sold("230.00")
    clock.on(days=1)
    address = reverse("month-tax", args=[JUNE])
    text = owners.get(address).text
    month, _, quarter = text.partition("April to June 2026</h2>")
    assert "$30" in month
    assert "$45" in quarter
    assert "The quarter still runs." in quarter
    assert text.count("The accounts, added up apart, say exactly the same.") == 2
    assert helpers.get(address).status_code == 403
    assert address in owners.get(reverse("month-of", args=[JUNE])).text
    assert owners.get(reverse("month-tax", args=["2026-07"])).status_code == 404


def test_a_consigned_piece_under_the_margin_scheme_is_said_not_to_be_told(vermont: ShopProfile) -> None:
    rate("15"), policy("vat-margin")
    sale = delivered(opened(price="100.00", deposit="1.00", at=NOON - 5 * DAY), at=NOON - 4 * DAY)
    Acquisition.objects.create(
        instrument=sale.instrument, how="consigned", seller="O. Pell", on=NOON.date(), commission_percent=20
    )
    close_sale(fresh(sale), by=None, at=NOON)
    assert tax_owed(BEGINS, ENDS, vermont).untold == [sale.number]


def test_it_is_asked_in_a_fixed_number_of_questions(
    vermont: ShopProfile, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    rate("15"), policy("vat-margin")
    for _ in range(2):
        sold("100.00", paid="60.00")
        with django_assert_num_queries(12):
            tax_owed(BEGINS, ENDS, vermont)


@pytest.mark.parametrize(("month", "name"), [(1, "January to March"), (8, "July to September")])
def test_a_quarter_is_one_of_the_calendar(
    owners: Client, vermont: ShopProfile, month: int, name: str
) -> None:
    text = owners.get(reverse("month-tax", args=[Month(2025, month)])).text
    assert f"{name} 2025" in text
    assert "The quarter still runs." not in text
