"""The owner's page of tax, and what the page of a sale shows of it."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Acquisition, Cost
from inquiries.models import Contact, LedgerRow, Sale, TaxPolicy, TaxRate
from inquiries.sales.actions import close_sale, end_without_sale
from inquiries.sales.queries import facts_of
from inquiries.tax.actions import add_policy, add_rate
from shop.facts import FactIsFixed
from shop.models import Entry, ShopProfile, User
from shop.refusal import Refused
from tests.factories import NOON, ContactFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import cleared, closed, delivered, fresh, opened, received

START = date(2026, 1, 1)


def rate(percent: str = "6", **given: Any) -> TaxRate:
    values = {"jurisdiction": "The state", "country": "US", "state": "VT", "postal": "", "starts": START}
    return add_rate({**values, "source": "A notice", "percent": Decimal(percent), **given}, by=None, at=NOON)


def policy(scheme: str = "sales-tax", **given: Any) -> TaxPolicy:
    return add_policy({"starts": START, "scheme": scheme, **given}, by=None, at=NOON)


@pytest.fixture
def vermont(profile: ShopProfile) -> ShopProfile:
    profile.address, profile.country = "1 Quarry Road\nRutland, VT 05701", "US"
    profile.save()
    return profile


def sold_to(address: str = "4 Mill Lane\nBurlington, VT 05401", **given: Any) -> Sale:
    sale = opened(price="1000.00", deposit="200.00", **given)
    Contact.objects.filter(pk=sale.contact_id).update(address=address, country="US")
    return sale


def opened_to(address: str = "4 Mill Lane\nBurlington, VT 05401") -> Sale:
    """As `sold_to`, of a buyer whose address is known when the sale opens."""
    return opened(price="1000.00", deposit="200.00", contact=ContactFactory(address=address, country="US"))


def page(browser: Client, sale: Sale) -> str:
    return " ".join(browser.get(reverse("sale", args=[sale.number])).text.split())


def pressed(**given: str) -> dict[str, str]:
    values = {
        "jurisdiction": " The  town ",
        "country": "us",
        "state": "vt",
        "postal": "054, 055",
        "percent": "1.25",
    }
    return {**values, "starts": "2026-07-01", "source": "A notice, read today", **given}


def test_the_owner_adds_a_rate_once(owners: Client, owner: User) -> None:
    for _ in range(2):
        assert owners.post(reverse("tax-rate-new"), pressed()).status_code == 302
    row = TaxRate.objects.get()
    assert (row.jurisdiction, row.country, row.state, row.postal) == ("The town", "US", "VT", "054 055")
    assert (row.percent, row.starts, row.by) == (Decimal("1.25"), date(2026, 7, 1), owner)
    assert Entry.objects.filter(verb="tax rate added").count() == 1
    text = owners.get(reverse("tax")).text
    assert "1.25%" in text
    assert "In force" not in text, "it begins in July"


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"country": "U1"}, "is not two letters"),
        ({"state": ""}, "Write the state in which these postal codes lie."),
        ({"percent": "101"}, "less than or equal to 100"),
        ({"percent": "-1"}, "greater than or equal to 0"),
        ({"starts": "soon"}, "Enter a valid date."),
    ],
)
def test_what_is_wrong_with_a_rate_is_said_and_kept(owners: Client, wrong: dict[str, str], says: str) -> None:
    text = owners.post(reverse("tax-rate-new"), pressed(**wrong)).text
    assert says in text
    assert "A notice, read today" in text
    assert not TaxRate.objects.exists()


def test_the_owner_adds_a_policy_once(owners: Client) -> None:
    form = {
        "starts": "2026-01-01",
        "scheme": "vat-margin",
        "sourcing": "origin",
        "rounding": "line",
        "inland": "fr, de",
    }
    for _ in range(2):
        assert owners.post(reverse("tax-policy-new"), form).status_code == 302
    row = TaxPolicy.objects.get()
    assert (row.scheme, row.sourcing, row.rounding, row.inland) == ("vat-margin", "origin", "line", "FR DE")
    assert "In force" in owners.get(reverse("tax")).text
    assert "is not two letters" in owners.post(reverse("tax-policy-new"), form | {"inland": "France"}).text


def test_rates_and_policies_are_facts(db: None) -> None:
    for row in (rate(), policy()):
        with pytest.raises(FactIsFixed):
            row.save()
        with pytest.raises(FactIsFixed):
            row.delete()


def test_nothing_is_shown_while_the_shop_has_no_policy(owners: Client, vermont: ShopProfile) -> None:
    rate()
    assert "by the shop’s own rates" not in page(owners, sold_to())
    policy(starts=NOON.date() + timedelta(days=1))
    assert "by the shop’s own rates" not in page(owners, Sale.objects.get())


def test_the_page_of_a_sale_shows_the_tax_with_its_rows_and_books_nothing_unasked(
    helpers: Client, vermont: ShopProfile
) -> None:
    sale = sold_to()
    rate(), rate("1.25", jurisdiction="The town", postal="054"), policy()
    before = LedgerRow.objects.count()
    text = page(helpers, sale)
    for part in (
        "$72.50",
        "7.25%",
        "The state: 6%",
        "The town: 1.25%",
        "(A notice)",
        "Tax on top of the price",
    ):
        assert part in text
    assert "Computed by the shop’s own rates; ask your adviser." in text
    assert LedgerRow.objects.count() == before


def test_a_resale_certificate_is_named(helpers: Client, vermont: ShopProfile) -> None:
    rate(), policy()
    sale = sold_to()
    Contact.objects.update(resale_certificate="R-77", resale_state="Vermont", resale_until=NOON.date())
    assert "resale certificate R-77, issued by Vermont" in page(helpers, sale)
    Contact.objects.update(resale_until=NOON.date() - timedelta(days=1))
    assert "$60" in page(helpers, sale)


def test_an_address_that_cannot_be_read_is_said(helpers: Client, vermont: ShopProfile) -> None:
    rate(), policy()
    text = page(helpers, sold_to("By the mill"))
    assert "The tax cannot be told." in text
    assert "cannot be read from the buyer’s address" in text


def bought(sale: Sale, amount: str = "1500.00", currency: str = "USD") -> None:
    Acquisition.objects.create(instrument=sale.instrument, how="bought", seller="Orrin Pell", on=START)
    for kind, paid in (("purchase", amount), ("repair", "77.77"), ("shipping-in", "55.55")):
        Cost.objects.create(
            instrument=sale.instrument, kind=kind, amount=Decimal(paid), currency=currency, on=START, at=NOON
        )


def test_the_margin_is_the_owners_to_see(owners: Client, helpers: Client, vermont: ShopProfile) -> None:
    """1,500 to 2,000 at 20 per cent: 83.33, as GOV.UK has it; repairs and shipping in are not in the purchase."""
    rate("20"), policy("vat-margin")
    sale = opened(price="2000.00", deposit="200.00")
    Contact.objects.update(address="4 Mill Lane\nBurlington, VT 05401")
    bought(sale)
    text = page(owners, sale)
    for part in ("$1,500", "$500", "$83.33", "Tax contained in the price", "rounded on the item"):
        assert part in text
    helped = page(helpers, sale)
    assert "which only the owner sees" in helped
    assert "$83.33" not in helped
    assert "$1,500" not in helped


@pytest.mark.parametrize("currency", ["USD", "EUR"])
def test_a_purchase_in_another_currency_gives_no_margin(
    owners: Client, vermont: ShopProfile, currency: str
) -> None:
    rate("20"), policy("vat-margin")
    sale = sold_to()
    bought(sale, currency=currency)
    assert ("The tax cannot be told." in page(owners, sale)) is (currency == "EUR")


def test_a_consigned_piece_has_no_margin_of_the_shops(owners: Client, vermont: ShopProfile) -> None:
    rate("20"), policy("vat-margin")
    sale = sold_to()
    bought(sale)
    Acquisition.objects.update(how="consigned", commission_percent=20)
    assert "It was on consignment and never bought" in page(owners, sale)


def test_a_closed_sale_keeps_the_rules_of_the_day_it_ended(
    owners: Client, vermont: ShopProfile, clock: Clock
) -> None:
    rate(), policy()
    buyer = ContactFactory(address="4 Mill Lane\nBurlington, VT 05401", country="US")
    sale = closed(price="1000.00", deposit="200.00", contact=buyer)
    rate("9", starts=NOON.date() + timedelta(days=1))
    policy("none", starts=NOON.date() + timedelta(days=1))
    clock.on(days=3)
    text = page(owners, sale)
    assert "$60" in text
    assert "Reckoned for the day the sale ended, 10 June 2026" in text


def test_a_sale_opens_with_its_tax_and_the_row_names_its_grounds(vermont: ShopProfile) -> None:
    rate(), rate("1.25", jurisdiction="The town", postal="054"), policy()
    sale = opened_to()
    row = sale.rows.get(kind="tax")
    assert (row.amount, row.note) == (Decimal("72.50"), "The state, The town")
    booking = row.tax_booking
    assert (booking.whole, booking.percent) == (Decimal("72.50"), Decimal("7.25"))
    assert "The state: 6%" in booking.why
    assert facts_of(sale).charged == Decimal("1072.50")


def test_what_changes_later_is_booked_as_a_difference_by_one_press(
    helpers: Client, vermont: ShopProfile
) -> None:
    rate(), policy()
    sale = opened_to()
    Contact.objects.update(resale_certificate="R-77", resale_state="Vermont")
    assert "Book -$60 of tax" in page(helpers, sale)
    address = reverse("sale-tax", args=[sale.number])
    assert helpers.post(address).status_code == 302
    helpers.post(address)
    assert [row.amount for row in sale.rows.filter(kind="tax")] == [Decimal(60), Decimal(-60)]
    assert "Book " not in page(helpers, sale)


def test_a_sale_does_not_close_while_its_tax_is_not_booked(vermont: ShopProfile) -> None:
    sale = delivered(opened_to(), at=NOON)
    rate(), policy()
    with pytest.raises(Refused) as refusal:
        close_sale(sale, by=None, at=NOON + timedelta(days=5))
    assert refusal.value.code == "tax-not-booked"
    assert "$60" in refusal.value.message


def test_a_taxed_sale_that_falls_through_owes_no_tax(vermont: ShopProfile) -> None:
    rate(), policy()
    sale = cleared(opened_to())
    paid = facts_of(sale).paid
    end_without_sale(sale, reason="x", money=received(str(paid)), by=None, at=NOON)
    assert sum(row.amount for row in sale.rows.filter(kind__in=["tax", "reversal"])) == Decimal(-1000)
    assert facts_of(fresh(sale)).balance == 0
