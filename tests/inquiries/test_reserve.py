"""Below the reserve of a consigned piece it takes the owner and a reason, asked for once."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Instrument
from inquiries.models import Sale
from inquiries.offers.actions import accept
from inquiries.sales import actions
from inquiries.sales.hold_actions import release_hold
from inquiries.sales.queries import price_charged
from inquiries.sales.steps import add_row
from shop.models import Entry, User
from shop.refusal import Refused
from tests.factories import NOON, InstrumentFactory
from tests.inquiries.steps import entry, fresh, held, opened, received
from tests.inquiries.terms import agreed, consigned, offer_of

pytestmark = pytest.mark.usefixtures("profile")
HOUR = timedelta(hours=1)


def test_a_sale_below_the_reserve_takes_the_owner_and_a_reason(owner: User, helper: User) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    hold = held(piece)

    def open_at(price: str, by: User, reason: str = "") -> Sale:
        return actions.open_sale(
            hold,
            price=Decimal(price),
            shipping=Decimal(0),
            money=received("1000.00"),
            below_reserve=reason,
            by=by,
            at=NOON,
        )

    with pytest.raises(Refused) as refused:
        open_at("8999.99", helper, "He needs the room")
    assert "9,000" not in refused.value.message
    with pytest.raises(Refused, match=r"below \$9,000"):
        open_at("8999.99", owner)
    assert not Sale.objects.exists()
    open_at("8999.99", owner, "Orrin Pell agreed by telephone")
    told = Entry.objects.get(verb="sold below the reserve")
    assert (told.old, told.new, told.field) == (
        "$9,000",
        "$8,999.99: Orrin Pell agreed by telephone",
        "agreement",
    )


def test_at_the_reserve_anybody_sells(helper: User) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    hold, money = held(piece), received("1000.00")
    actions.open_sale(hold, price=Decimal(9000), shipping=Decimal(0), money=money, by=helper, at=NOON)
    assert Sale.objects.get().instrument == piece


def test_an_agreement_in_another_currency_stops_the_sale(owner: User) -> None:
    piece = consigned()
    agreed(piece)
    Instrument.objects.update(currency="EUR")
    with pytest.raises(Refused, match="An agreement in EUR is needed first"):
        opened(instrument=Instrument.objects.get(pk=piece.pk))


def test_an_offer_below_the_reserve_takes_the_owner_and_a_reason(owner: User, helper: User) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    offer = offer_of(piece, 8000)
    for by, reason in ((helper, "So be it"), (owner, "")):
        with pytest.raises(Refused) as refused:
            accept(offer, below_reserve=reason, by=by, at=NOON)
        assert refused.value.code == "below-reserve"
    accept(offer, below_reserve="Agreed by letter", by=owner, at=NOON)
    assert Entry.objects.get(verb="offer accepted below the reserve").new == "$8,000: Agreed by letter"


def test_what_the_owner_allowed_with_the_offer_is_not_asked_again_with_its_deposit(
    owner: User, helper: User
) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    offer = offer_of(piece, 7500, trade_in="A mandolin", trade_in_value=Decimal(500))
    hold = accept(offer, below_reserve="Agreed by letter", by=owner, at=NOON)

    def deposit(price: str) -> Sale:
        whole, money = Decimal(price), received("1000.00")
        return actions.open_sale(hold, price=whole, shipping=Decimal(0), money=money, by=helper, at=NOON)

    with pytest.raises(Refused, match="has to take it"):
        deposit("7999.99")
    assert deposit("8000.00").instrument == piece
    assert [told.verb for told in Entry.objects.filter(verb__endswith="below the reserve")] == [
        "offer accepted below the reserve"
    ]


def test_what_was_allowed_to_one_buyer_is_not_allowed_to_the_next(owner: User, helper: User) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    first = accept(offer_of(piece, 8000), below_reserve="Agreed by letter", by=owner, at=NOON)
    second = held(piece)
    release_hold(first, by=None, at=NOON)
    with pytest.raises(Refused, match="has to take it"):
        actions.open_sale(
            second, price=Decimal(8000), shipping=Decimal(0), money=received("1.00"), by=helper, at=NOON
        )


def test_a_reserve_that_was_raised_after_the_offer_is_asked_about(owner: User, helper: User) -> None:
    """At its time the offer was at the reserve, so nobody has given a reason for it."""
    piece = consigned()
    agreed(piece, reserve=Decimal(8000))
    hold = accept(offer_of(piece, 8000), by=helper, at=NOON)
    agreed(piece, reserve=Decimal(9000), at=NOON + HOUR)
    with pytest.raises(Refused, match="has to take it"):
        actions.open_sale(
            hold, price=Decimal(8000), shipping=Decimal(0), money=received("1.00"), by=helper, at=NOON + HOUR
        )


def test_a_trade_in_counts_towards_the_reserve(helper: User) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    offer = offer_of(piece, 8000, trade_in="A mandolin", trade_in_value=Decimal(1000))
    assert accept(offer, by=helper, at=NOON).instrument == piece


def test_the_form_of_the_deposit_asks_the_owner_why(owners: Client, helpers: Client) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    url = reverse("deposit", args=[held(piece).pk])
    assert "Why it goes below $9,000" in owners.get(url).text
    assert "below" not in helpers.get(url).text.partition("<form")[2].partition("</form>")[0]
    press = {"price": "8,000", "amount": "1,000", "method": "wire", "note": "First", "entry": entry()}
    page = owners.post(url, press).text
    assert "write down why it goes below" in page
    assert 'value="First"' in page
    assert "has to take it" in helpers.post(url, press).text
    assert owners.post(url, press | {"below_reserve": "By telephone"}).status_code == 302


def test_the_form_of_the_deposit_names_what_was_allowed_with_the_offer(
    owner: User, owners: Client, helpers: Client
) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    hold = accept(offer_of(piece, 8000), below_reserve="By telephone", by=owner, at=NOON)
    url = reverse("deposit", args=[hold.pk])
    assert "Why it goes below $8,000, the offer that was accepted below the reserve" in owners.get(url).text
    assert "below" not in helpers.get(url).text.partition("<form")[2].partition("</form>")[0]
    press = {"amount": "1,000", "method": "wire", "note": "", "entry": entry()}
    assert "has to take it" in helpers.post(url, press | {"price": "7,999"}).text
    assert helpers.post(url, press | {"price": "8,000"}).status_code == 302


def test_the_page_of_acceptance_asks_the_owner_why(owners: Client, helpers: Client) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    url = reverse("offer-accept", args=[offer_of(piece, 8000).pk])
    assert "Why it goes below $9,000" in owners.get(url).text
    assert "9,000" not in helpers.get(url).text
    assert "has to take it" in helpers.post(url).text
    assert owners.post(url, {"below_reserve": "By telephone"}).status_code == 302


# A price that is taken back while the sale runs.


def test_a_price_taken_back_below_the_reserve_takes_the_owner_and_a_reason(owner: User, helper: User) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    row = opened(instrument=piece, price="10000.00").rows.get(kind="price")
    for by, reason, says in (
        (helper, "Typed wrongly", "has to take it"),
        (owner, "", r"below \$9,000, .* write down why"),
    ):
        with pytest.raises(Refused, match=says) as refused:
            actions.reverse_row(row, reason="Mistaken", below_reserve=reason, by=by, at=NOON)
        assert refused.value.code == "below-reserve"
    assert price_charged(row.sale.rows.all()) == 10000
    actions.reverse_row(row, reason="Mistaken", below_reserve="The sale is begun anew", by=owner, at=NOON)
    told = Entry.objects.get(verb="price taken back below the reserve")
    assert (told.old, told.new, told.about_id) == ("$9,000", "$0: The sale is begun anew", piece.pk)


def test_what_leaves_the_price_at_the_reserve_is_not_asked_about(helper: User) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    sale = opened(instrument=piece, price="10000.00", shipping="100.00")
    for amount in (-1000, 500):
        add_row(sale, "credit" if amount < 0 else "price", Decimal(amount), by=None, at=NOON, entry=entry())
    for row in sale.rows.filter(amount__in=[500, 100, -1000]):
        actions.reverse_row(row, reason="Mistaken", by=helper, at=NOON)
    assert price_charged(fresh(sale).rows.all()) == 10000


def test_the_sale_is_held_to_the_reserve_of_the_day_it_was_opened(helper: User) -> None:
    piece = consigned()
    agreed(piece)
    row = opened(instrument=piece, price="10000.00").rows.get(kind="price")
    agreed(piece, starts=NOON.date() + timedelta(days=1), reserve=Decimal(9000), at=NOON + HOUR)
    assert actions.reverse_row(row, reason="Mistaken", by=helper, at=NOON + 48 * HOUR).amount == -10000


def test_the_form_that_reverses_asks_the_owner_why(owners: Client, helpers: Client) -> None:
    piece = consigned()
    agreed(piece, reserve=Decimal(9000))
    sale = opened(instrument=piece, price="10000.00")
    assert (
        "Why it goes below $9,000, the reserve of the agreement" in owners.get(sale.get_absolute_url()).text
    )
    assert "9,000" not in helpers.get(sale.get_absolute_url()).text
    url = reverse("sale-reverse", args=[sale.number])
    press = {"row": str(sale.rows.get(kind="price").pk), "reason": "For another piece"}
    page = owners.post(url, press).text
    assert "write down why it goes below" in page
    assert 'value="For another piece"' in page
    assert owners.post(url, press | {"below_reserve": "The sale is begun anew"}).status_code == 302
    own = opened(instrument=InstrumentFactory(listed=True))
    assert "Why it goes below" not in owners.get(own.get_absolute_url()).text
