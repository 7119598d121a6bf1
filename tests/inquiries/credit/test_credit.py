"""Store credit and trade-ins: never more than there is, never used twice, and a piece with its own cost."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.instruments.actions import move
from catalog.models import Acquisition, Cost, Instrument, Kind
from catalog.pricing.queries import landed_cost
from catalog.publishing.actions import withdraw
from inquiries.credit.actions import Traded, give_credit, pay_by_credit, take_in_trade
from inquiries.credit.models import CreditRow, TradeIn
from inquiries.credit.queries import credit_of, credits_of
from inquiries.desk.sale_page import proposed_refund
from inquiries.models import LedgerRow, Sale
from inquiries.people.merge_actions import merge
from inquiries.sales.actions import end_without_sale, reverse_row
from inquiries.sales.queries import facts_of
from inquiries.stockbook.queries import book
from inquiries.stockbook.rules import InStock, in_stock
from shop.money import Money
from shop.profile.queries import the_shop
from shop.refusal import Refused
from tests.factories import NOON, ContactFactory, OwnerFactory
from tests.inquiries.steps import cleared, entry, fresh, opened

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def sale() -> Sale:
    """12,500 with 2,500 down, which are final."""
    return cleared(opened())


def given(sale: Sale, amount: str = "2000.00") -> Sale:
    """The sale fell through, and so much of its deposit became store credit; the buyer's next sale is open."""
    give_credit(sale, Decimal(amount), entry=entry(), by=None, at=NOON)
    end_without_sale(sale, reason="Another piece", money=None, by=None, at=NOON)
    return opened(contact=sale.contact)


def owed(sale: Sale) -> Decimal:
    """What the buyer still owes."""
    return facts_of(fresh(sale)).balance


def traded(value: str = "900.00", **fields: str) -> Traded:
    """A piece of the buyer's."""
    kind = Kind.objects.order_by("pk").first()
    assert kind is not None
    return Traded(kind, "Tenor guitar, neck reset", Decimal(value), fields.get("entry") or entry())


def test_credit_is_given_out_of_what_came_in_and_used_in_another_sale(sale: Sale) -> None:
    following = given(sale)
    assert credits_of(sale.contact) == [Money(Decimal(2000), "USD")]
    assert facts_of(fresh(sale)).balance == 0
    pay_by_credit(following, Decimal(1500), entry=entry(), by=None, at=NOON)
    assert owed(following) == Decimal(8500)
    assert credit_of(sale.contact, "USD") == Money(Decimal(500), "USD")
    assert credit_of(sale.contact, "EUR") == Money(Decimal(0), "EUR")


def test_never_more_than_came_in_and_never_more_than_there_is(sale: Sale) -> None:
    with pytest.raises(Refused) as refusal:
        give_credit(sale, Decimal("2500.01"), entry=entry(), by=None, at=NOON)
    assert refusal.value.code == "more-than-received"
    following = given(sale)
    with pytest.raises(Refused) as refusal:
        pay_by_credit(following, Decimal("2000.01"), entry=entry(), by=None, at=NOON)
    assert refusal.value.code == "not-enough-credit"
    assert "$2,000" in refusal.value.message


def test_two_presses_are_one(sale: Sale) -> None:
    token = entry()
    for _ in range(2):
        give_credit(sale, Decimal(10), entry=token, by=None, at=NOON)
    assert CreditRow.objects.count() == 1


def test_a_reversed_row_takes_its_credit_along_unless_it_is_used(sale: Sale) -> None:
    row = give_credit(sale, Decimal(2000), entry=entry(), by=None, at=NOON)
    reverse_row(row, reason="In money after all", by=None, at=NOON)
    assert credits_of(sale.contact) == []
    row = give_credit(sale, Decimal(2000), entry=entry(), by=None, at=NOON)
    following = opened(contact=sale.contact)
    used = pay_by_credit(following, Decimal(1), entry=entry(), by=None, at=NOON)
    with pytest.raises(Refused) as refusal:
        reverse_row(row, reason="x", by=None, at=NOON)
    assert refusal.value.code == "not-enough-credit"
    reverse_row(used, reason="x", by=None, at=NOON)
    reverse_row(row, reason="x", by=None, at=NOON)
    assert credits_of(sale.contact) == []


def test_credit_goes_with_a_person_who_is_merged(sale: Sale) -> None:
    give_credit(sale, Decimal(10), entry=entry(), by=None, at=NOON)
    kept = ContactFactory()
    merge(kept, sale.contact, by=OwnerFactory(), at=NOON)
    assert credits_of(kept) == [Money(Decimal(10), "USD")]


def test_a_piece_in_trade_has_a_record_a_seller_and_a_cost(sale: Sale) -> None:
    press = traded()
    trade = take_in_trade(sale, press, by=None, at=NOON)
    assert take_in_trade(sale, press, by=None, at=NOON) == trade
    piece = trade.instrument
    assert piece.state == Instrument.State.DRAFT
    assert landed_cost(piece) == Money(Decimal(900), "USD")
    acquisition = Acquisition.objects.get(instrument=piece)
    assert (acquisition.how, acquisition.seller) == ("bought", sale.contact.name)
    assert owed(sale) == Decimal(9100)
    assert TradeIn.objects.count() == 1


def test_no_more_is_taken_in_trade_than_is_owed(sale: Sale) -> None:
    with pytest.raises(Refused) as refusal:
        take_in_trade(sale, traded("10000.01"), by=None, at=NOON)
    assert refusal.value.code == "more-than-owed"
    assert "Take it in trade for what is owed" in refusal.value.message
    assert "fraud" not in refusal.value.message
    assert not TradeIn.objects.exists()


def test_a_piece_that_goes_back_costs_nothing_and_one_on_offer_stays(sale: Sale) -> None:
    trade = take_in_trade(sale, traded(), by=None, at=NOON)
    reverse_row(trade.row, reason="The buyer kept it", by=None, at=NOON)
    assert landed_cost(trade.instrument) == Money(Decimal(0), "USD")
    assert Cost.objects.filter(instrument=trade.instrument).count() == 2
    other = take_in_trade(fresh(sale), traded(), by=None, at=NOON)
    Instrument.objects.filter(pk=other.instrument_id).update(asking_price=Decimal(1500))
    move(other.instrument, [Instrument.State.DRAFT], Instrument.State.LISTED, by=None, at=NOON)
    with pytest.raises(Refused) as refusal:
        reverse_row(other.row, reason="x", by=None, at=NOON)
    assert refusal.value.code == "trade-in-offered"
    assert LedgerRow.objects.filter(reverses=other.row).count() == 0
    assert "Withdraw it first" in refusal.value.message
    withdraw(other.instrument, by=None, at=NOON)
    reverse_row(other.row, reason="x", by=None, at=NOON)
    assert landed_cost(other.instrument) == Money(Decimal(0), "USD")


def test_a_piece_sold_since_does_not_go_back(sale: Sale) -> None:
    trade = take_in_trade(sale, traded(), by=None, at=NOON)
    Instrument.objects.filter(pk=trade.instrument_id).update(
        state="sold", asking_price=Decimal(900), listed_at=NOON, sold_at=NOON
    )
    with pytest.raises(Refused, match=r"is sold\. Pay its value back in money"):
        reverse_row(trade.row, reason="x", by=None, at=NOON)


@pytest.mark.parametrize("offered", [False, True])
def test_a_piece_that_went_back_is_no_stock_until_it_is_bought_anew(sale: Sale, offered: bool) -> None:
    trade = take_in_trade(sale, traded(), by=None, at=NOON)
    piece = trade.instrument
    assert (stock(), disposed()) == (InStock(1, (("USD", Decimal(900)),), 0), "")
    if offered:
        Instrument.objects.filter(pk=piece.pk).update(state="withdrawn")
        assert disposed() == "Withdrawn"
    reverse_row(trade.row, reason="The buyer kept it", by=None, at=NOON)
    assert (stock(), disposed()) == (InStock(0, (), 0), "Withdrawn, given back")
    Cost.objects.create(
        instrument=piece, kind="purchase", amount=700, currency="USD", on=NOON.date(), at=NOON + DAY
    )
    assert disposed() == ("Withdrawn" if offered else "")


def stock() -> InStock:
    return in_stock(book(the_shop())[0])


def disposed() -> str:
    (line,) = book(the_shop())[0]
    return line.item.disposed


def test_what_is_proposed_to_be_paid_back_is_money_alone(client: Client, sale: Sale) -> None:
    following = given(sale)
    pay_by_credit(following, Decimal(2000), entry=entry(), by=None, at=NOON)
    trade = take_in_trade(fresh(following), traded(), by=None, at=NOON)
    assert facts_of(fresh(following)).paid == Decimal(5400)
    assert proposed_refund(fresh(following)) == Decimal(2500)
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    address = reverse("sale", args=[following.number])
    assert "is kept as well unless its row is reversed before" in client.get(address).text
    reverse_row(trade.row, reason="It goes back", by=None, at=NOON)
    shown = client.get(address).text
    assert "Given back to the buyer." in shown
    assert proposed_refund(fresh(following)) == Decimal(2500)


def test_the_pages_keep_what_was_typed_and_say_why(client: Client, sale: Sale) -> None:
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    kind = Kind.objects.order_by("pk").first()
    assert kind is not None
    typed = {"kind": kind.pk, "description": "A plectrum banjo", "value": "99,000", "entry": entry()}
    page = client.post(reverse("sale-trade", args=[sale.number]), typed)
    assert "that is owed" in page.text
    assert "A plectrum banjo" in page.text
    assert client.post(reverse("sale-trade", args=[sale.number]), typed | {"value": "900"}).status_code == 302
    assert "A plectrum banjo" in client.get(reverse("sale", args=[sale.number])).text
    given_back = {"amount": "100", "note": "", "entry": entry()}
    assert client.post(reverse("sale-credit-give", args=[sale.number]), given_back).status_code == 302
    assert "of store credit" in client.get(reverse("sale", args=[sale.number])).text
    used = {"amount": "100.00", "entry": entry()}
    assert client.post(reverse("sale-credit-use", args=[sale.number]), used).status_code == 302
    assert credits_of(sale.contact) == []
