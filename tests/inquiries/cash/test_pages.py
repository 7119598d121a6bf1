"""The caution over cash on the pages of a sale and of a person, and the owner's page of its limits."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from inquiries.cash.queries import cautions_of, cautions_on, foreign_of
from inquiries.models import CashLimit, LedgerRow, Sale
from inquiries.sales.actions import record_payment, refund, reverse_row
from inquiries.sales.steps import Received
from shop.facts import FactIsFixed
from shop.models import Entry, ShopProfile
from shop.money import Money
from tests.factories import NOON, InstrumentFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import cleared, entry, fresh, opened, received

DAY = timedelta(days=1)
CASH = LedgerRow.Method.CASH


def paid_in_cash(*amounts: str, method: str = CASH) -> Sale:
    """A sale of 30,000 with a small deposit by wire, then these amounts a day apart."""
    sale = opened(price="30000.00", deposit="100.00")
    for day, amount in enumerate(amounts, start=1):
        record_payment(fresh(sale), received(amount, method), by=None, at=NOON + day * DAY)
    return fresh(sale)


def warned(sale: Sale, shop: ShopProfile) -> list[list[str]]:
    found = cautions_on(sale, shop, at=NOON)
    return [[str(Money(row.received, row.currency).amount) for row, _ in one.rows] for one in found]


def test_the_shop_ships_the_limit_of_the_united_states(profile: ShopProfile) -> None:
    row = CashLimit.objects.get()
    assert (row.country, row.amount, row.currency, row.months, row.due_days) == ("US", 10000, "USD", 12, 15)
    assert "6050I" in row.source


@pytest.mark.parametrize(
    ("amounts", "expected"),
    [
        (["10000.00"], []),
        (["10000.01"], [["10000.01"]]),
        (["6000.00", "4000.00"], []),
        (["6000.00", "4000.01"], [["6000.00", "4000.01"]]),
        (["11000.00", "4000.00", "6000.00"], [["11000.00"]]),
        (["11000.00", "4000.00", "6000.01"], [["11000.00"], ["4000.00", "6000.01"]]),
    ],
)
def test_the_rows_of_a_sale(profile: ShopProfile, amounts: list[str], expected: list[list[str]]) -> None:
    assert warned(paid_in_cash(*amounts), profile) == expected


@pytest.mark.parametrize("method", ["wire", "ach", "personal-check", "card", "cashiers-check"])
def test_what_is_no_cash_gives_no_caution(profile: ShopProfile, method: str) -> None:
    assert warned(paid_in_cash("12000.00", method=method), profile) == []


def test_a_reversed_row_counts_for_nothing_and_a_refund_takes_nothing_back(profile: ShopProfile) -> None:
    sale = paid_in_cash("12000.00", "11000.00")
    reverse_row(sale.rows.get(amount=-11000), reason="Typed twice", by=None, at=NOON + 3 * DAY)
    refund(cleared(sale, at=NOON + 3 * DAY), received("5000.00", CASH), by=None, at=NOON + 4 * DAY)
    assert warned(fresh(sale), profile) == [["12000.00"]]


def test_a_payment_counts_from_the_day_it_came_in(profile: ShopProfile) -> None:
    sale = opened(price="30000.00", deposit="100.00", at=NOON - 9 * DAY)
    came_in = NOON.date() - 5 * DAY
    money = Received(Decimal(12000), CASH, entry(), on=came_in)
    record_payment(fresh(sale), money, by=None, at=NOON)
    assert [one.report.due for one in cautions_on(fresh(sale), profile, at=NOON)] == [came_in + 15 * DAY]


def test_another_country_has_no_caution_without_a_limit_of_its_own(profile: ShopProfile) -> None:
    sale = paid_in_cash("12000.00")
    profile.country = "DE"
    profile.save()
    assert warned(sale, profile) == []


def test_the_sale_and_the_person_show_it(helpers: Client, profile: ShopProfile) -> None:
    sale = paid_in_cash("6000.00", "7000.00")
    for address in (reverse("sale", args=[sale.number]), reverse("contact", args=[sale.contact_id])):
        text = helpers.get(address).text
        assert "Cash to be reported" in text
        assert "Report due 27 June 2026" in text
        assert "6050I" in text
        assert "General information, not legal advice" in text


def test_a_sale_below_the_limit_says_nothing_of_cash(helpers: Client, profile: ShopProfile) -> None:
    sale = paid_in_cash("6000.00", "3900.00")
    for address in (reverse("sale", args=[sale.number]), reverse("contact", args=[sale.contact_id])):
        text = helpers.get(address).text
        assert "to be reported" not in text
        assert "10,000" not in text


@pytest.mark.parametrize(
    "amounts", [["10000.01"], ["6000.00", "7000.00"], ["11000.00", "4000.00", "6500.25"]]
)
def test_no_amount_stands_in_it_but_the_rows_own_and_the_limit(
    profile: ShopProfile, amounts: list[str]
) -> None:
    sale = paid_in_cash(*amounts)
    found = cautions_of(sale.contact, profile, at=NOON)
    text = render_to_string("desk/cash/_caution.html", {"cash": found})
    figures = {Decimal(each.replace(",", "")) for each in re.findall(r"\$([\d,]+(?:\.\d+)?)", text)}
    told = {row.received for one in found for row, _ in one.rows}
    assert figures == told | {Decimal(10000)}
    # Any other number is a date, a span of the rule, or the name of the rule.
    words = re.sub(r"<[^>]*>|\$[\d,.]+|Sale \d+-\d+|\d{1,2} [A-Z]\w+ \d{4}|2[06]", " ", text)
    assert set(re.findall(r"\d+", words)) <= {"12", "15", "24", "6050", "8300"}


def test_a_page_asks_the_same_number_of_questions_of_the_database(
    profile: ShopProfile, django_assert_num_queries: object
) -> None:
    few, many = paid_in_cash("11000.00"), paid_in_cash("11000.00", "3000.00", "4000.00", "5000.00")
    for sale in (few, many):
        with django_assert_num_queries(5):  # type: ignore[operator]
            cautions_of(sale.contact, profile, at=NOON)


LIMIT = {
    "country": "us", "starts": "2027-01-01", "amount": "12000", "currency": "usd", "check_face": "12000",
    "months": "12", "due_days": "15", "checks_at_any_price": "on", "source": "A new law", "read_on": "2026-06-10",
}  # fmt: skip


def test_the_owner_adds_a_limit_once(owners: Client) -> None:
    for _ in range(2):
        assert owners.post(reverse("cash-limit-new"), LIMIT).status_code == 302
    row = CashLimit.objects.get(source="A new law")
    assert (row.country, row.currency, row.amount) == ("US", "USD", 12000)
    assert Entry.objects.filter(verb="cash limit added").count() == 1
    with pytest.raises(FactIsFixed):
        row.save()
    assert "In force" in owners.get(reverse("cash-limits")).text


def test_a_limit_that_cannot_be_read_is_said_and_kept(owners: Client) -> None:
    text = owners.post(reverse("cash-limit-new"), LIMIT | {"currency": "ZZQ"}).text
    assert "is no currency code" in text
    assert "A new law" in text


def test_a_later_limit_counts_from_its_day_on(profile: ShopProfile) -> None:
    sale = paid_in_cash("11000.00")
    CashLimit.objects.create(
        country="US", starts=(NOON + 5 * DAY).date(), amount=12000, currency="USD", check_face=12000,
        source="A new law", read_on=NOON.date(), at=NOON,
    )  # fmt: skip
    record_payment(fresh(sale), received("11500.00", CASH), by=None, at=NOON + 6 * DAY)
    assert warned(sale, profile) == [["11000.00"]]
    record_payment(fresh(sale), received("500.01", CASH), by=None, at=NOON + 7 * DAY)
    assert warned(sale, profile) == [["11000.00"], ["11500.00", "500.01"]]


def paid_in_euros(method: str = CASH) -> Sale:
    """A sale in euros, with a deposit by wire and a payment a day later."""
    piece = InstrumentFactory(listed=True, currency="EUR")
    sale = opened(price="30000.00", deposit="100.00", instrument=piece)
    record_payment(fresh(sale), received("20000.00", method), by=None, at=NOON + DAY)
    return fresh(sale)


@pytest.mark.parametrize("method", ["cash", "cashiers-check"])
def test_cash_in_another_currency_is_pointed_out_and_not_reckoned(
    owners: Client, profile: ShopProfile, clock: Clock, method: str
) -> None:
    sale = paid_in_euros(method)
    clock.on(days=2)
    assert warned(sale, profile) == []
    for address in (reverse("sale", args=[sale.number]), reverse("contact", args=[sale.contact_id])):
        text = owners.get(address).text
        assert "Not reckoned, since it came in EUR: its worth in USD decides." in text
        assert text.count("€20,000") >= 1
    (row,) = sale.rows.filter(amount=-20000)
    reverse_row(row, reason="Typed wrongly", by=None, at=NOON + DAY)
    assert "Not reckoned" not in owners.get(reverse("sale", args=[sale.number])).text


def test_a_wire_in_another_currency_or_a_shop_without_a_limit_is_not_pointed_out(
    profile: ShopProfile,
) -> None:
    assert foreign_of(paid_in_euros("wire").contact, profile) == []
    in_cash = paid_in_euros().contact
    assert len(foreign_of(in_cash, profile)) == 1
    profile.country = "FR"
    assert foreign_of(in_cash, profile) == []
