"""What a running sale charges is changed by a row: a part of the price taken back, shipping agreed on later."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Acquisition, Cost
from inquiries.models import LedgerRow, Sale
from inquiries.papers.issuing import issue_paper
from inquiries.sales import actions
from inquiries.sales.charging import charge_shipping, take_back
from inquiries.sales.proof import unbalanced
from inquiries.sales.queries import facts_of, of_kinds, price_charged
from inquiries.stockbook import proof
from inquiries.stockbook.queries import book
from shop.models import ShopProfile, User
from shop.refusal import Refused
from tests.factories import NOON
from tests.inquiries.steps import MINUTE, delivered, entry, fresh, opened, received
from tests.inquiries.tax.test_pages import policy, rate
from tests.inquiries.terms import agreed, consigned

pytestmark = pytest.mark.usefixtures("profile")
LATER = NOON + timedelta(days=5)


def lowered(sale: Sale, amount: str = "500", **given: object) -> LedgerRow:
    press: dict[str, object] = {
        "reason": "The tuners are not its own",
        "entry": entry(),
        "by": None,
        "at": NOON + MINUTE,
    }
    return take_back(fresh(sale), Decimal(amount), **(press | given))  # type: ignore[arg-type]


def test_a_part_of_the_price_goes_back_and_the_sale_goes_on(profile: ShopProfile) -> None:
    sale = delivered(opened(), at=NOON)
    Acquisition.objects.create(
        instrument=sale.instrument, how="bought", seller="Orrin Pell", on=date(2026, 1, 1)
    )
    Cost.objects.create(
        instrument=sale.instrument, kind="purchase", amount=Decimal(4000), currency="USD",
        on=date(2026, 1, 1), at=NOON,
    )  # fmt: skip
    lowered(sale, at=NOON + 2 * MINUTE)
    assert facts_of(fresh(sale)).balance == -500
    with pytest.raises(Refused, match="The balance is -\\$500"):
        actions.close_sale(fresh(sale), by=None, at=LATER)
    actions.refund(fresh(sale), received("500"), by=None, at=LATER)
    actions.close_sale(fresh(sale), by=None, at=LATER)

    assert price_charged(fresh(sale).rows.all()) == 12000
    assert list(unbalanced()) == []
    (line,), _, _ = book(profile)
    (proved,) = proof.proved(profile)
    assert (line.selling, line.margin) == (proved.selling, proved.margin) == (12000, 8000)


def test_it_stands_on_the_invoice_with_its_reason() -> None:
    sale = opened()
    lowered(sale)
    lines = issue_paper("invoice", fresh(sale), entry=entry(), by=None, at=NOON + MINUTE).content["lines"]
    assert ["Charge taken back", "The tuners are not its own", "-$500"] in lines


def test_a_form_sent_twice_changes_it_once() -> None:
    sale, press = opened(), entry()
    assert lowered(sale, entry=press) == lowered(sale, entry=press)
    once = entry()
    for _ in range(2):
        charge_shipping(fresh(sale), Decimal(180), reason="By air", entry=once, by=None, at=NOON + MINUTE)
    assert facts_of(fresh(sale)).balance == Decimal(10000) - 500 + 180


def test_the_whole_price_is_not_taken_back() -> None:
    sale = opened()
    with pytest.raises(Refused, match="some of it has to stay"):
        lowered(sale, "12500")
    assert lowered(sale, "12499.99").amount == Decimal("-12499.99")


def test_below_the_reserve_it_takes_the_owner_who_writes_why(owner: User, helper: User) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(12200))
    sale = opened(instrument=piece)
    assert lowered(sale, "300", by=helper)
    with pytest.raises(Refused, match="The owner of the shop has to take it"):
        lowered(sale, "1", by=helper)
    with pytest.raises(Refused, match="write down why"):
        lowered(sale, "1", by=owner)
    assert lowered(sale, "1", by=owner, below_reserve="She agreed by telephone")


def test_the_tax_on_top_goes_down_with_it(profile: ShopProfile) -> None:
    profile.address, profile.country = "1 Quarry Road\nRutland, VT 05701", "US"
    profile.save()
    policy(scheme="sales-tax")
    rate("6")
    sale = opened(contact__address="7 Elm Row\nStowe, VT 05672", contact__country="US")
    assert of_kinds(sale.rows.all(), {"tax"}) == 750
    lowered(sale)
    assert of_kinds(fresh(sale).rows.all(), {"tax"}) == 720


def test_a_sale_that_has_ended_is_not_changed() -> None:
    sale = delivered(opened(), at=NOON)
    actions.close_sale(sale, by=None, at=LATER)
    with pytest.raises(Refused, match="so you cannot change what is charged now"):
        lowered(sale, at=LATER)


def test_the_owner_changes_it_at_the_desk_and_nothing_typed_is_lost(owners: Client, helpers: Client) -> None:
    sale = opened()
    address = reverse("sale-charge", args=[sale.number])
    typed = {"entry": entry(), "what": "price", "amount": "99,999", "reason": "The tuners are not its own"}
    assert helpers.post(address, typed).status_code == 403
    page = owners.post(address, typed).content.decode()
    assert "some of it has to stay" in page
    assert 'value="The tuners are not its own"' in page
    assert (
        "more than can be kept" in owners.post(address, typed | {"amount": "99,999,999,999"}).content.decode()
    )
    assert owners.post(address, typed | {"amount": "500"}).status_code == 302
    shown = owners.get(reverse("sale", args=[sale.number])).content.decode()
    assert '<td class="number">-$500</td>\n        <td class="number"></td>' in shown, (
        "charged less, not received"
    )
    shipping = typed | {"entry": entry(), "what": "shipping", "amount": "90", "reason": "By air"}
    assert owners.post(address, shipping).status_code == 302
    assert facts_of(fresh(sale)).charged == Decimal(12500) - 500 + 90
    assert 'id="charge"' not in helpers.get(reverse("sale", args=[sale.number])).content.decode()
