"""Offers at the desk: noted beside the thread, listed, accepted by two presses, ended."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import Acquisition, Cost, Instrument
from inquiries.models import Hold, Inquiry, Offer, OfferEnd
from inquiries.offers.actions import accept, decline, make_offer
from inquiries.sales.hold_actions import place_hold
from shop.models import User
from tests.factories import NOON, InquiryFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import closed, entry

DAY = timedelta(days=1)
# NOON is 12:00 UTC on 10 June 2026: 8 o'clock in the morning in the shop's zone, America/New_York.


@pytest.fixture
def inquiry(profile: object) -> Inquiry:
    made: Inquiry = InquiryFactory(contact__name="Cole Withers")
    Instrument.objects.filter(pk=made.instrument_id).update(floor_price=Decimal(10500))
    Cost.objects.create(
        instrument=made.instrument, kind="purchase", amount=8123, currency="USD", on=NOON.date(), at=NOON
    )
    return made


def typed(**fields: Any) -> dict[str, Any]:
    return {"amount": "11,000", "entry": entry()} | fields


def offered(inquiry: Inquiry, amount: int = 11000, **fields: Any) -> Offer:
    return make_offer(
        inquiry, **{"amount": Decimal(amount), "entry": entry(), "by": None, "at": NOON} | fields
    )


def page_of(browser: Client, inquiry: Inquiry) -> str:
    return browser.get(reverse("inquiry", args=[inquiry.pk])).text


def test_an_offer_is_typed_beside_the_thread(helpers: Client, helper: User, inquiry: Inquiry) -> None:
    given = typed(
        trade_in="A tenor guitar", trade_in_value="900", until="2026-06-12T17:00", note="By telephone"
    )
    for _ in range(2):
        answer = helpers.post(reverse("offer-new", args=[inquiry.pk]), given, follow=True)
    offer = Offer.objects.get()
    assert (offer.amount, offer.trade_in_value, offer.by) == (11000, 900, helper)
    assert offer.until == NOON + timedelta(days=2, hours=9)  # 5 in the afternoon in the shop's zone
    assert "Cole Withers would give $11,000 and a trade-in for No." in answer.text
    assert 'counted at $900; <b class="figures">$11,900</b> together' in answer.text
    assert "Good until Fri 12 Jun 2026, 5:00 pm." in answer.text
    assert "$600 below, 4.8 per cent of it" in answer.text
    assert "In cash alone: $1,500 below, 12.0 per cent of it" in answer.text


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"amount": ""}, "This field is required."),
        ({"amount": "a lot"}, "cannot be read"),
        ({"amount": "0"}, "Write an amount, or what would be traded in."),
        ({"trade_in_value": "900"}, "Write what would be traded in."),
        ({"until": "2026-06-10T08:00"}, "This time has gone by."),
    ],
)
def test_what_cannot_be_noted_comes_back_with_all_that_was_typed(
    helpers: Client, inquiry: Inquiry, fields: dict[str, str], says: str
) -> None:
    given = typed(note="By telephone") | fields
    answer = helpers.post(reverse("offer-new", args=[inquiry.pk]), given)
    assert says in answer.text
    assert 'value="By telephone"' in answer.text
    assert '<details class="fold" open><summary>Note an offer</summary>' in answer.text
    assert not Offer.objects.exists()


def test_floor_and_cost_are_for_the_owner_alone(owners: Client, helpers: Client, inquiry: Inquiry) -> None:
    offer = offered(inquiry)
    pages = [
        reverse("inquiry", args=[inquiry.pk]),
        reverse("offer-accept", args=[offer.pk]),
        reverse("offers"),
    ]
    for page in pages:
        seen = owners.get(page).text
        assert 'Floor, <span class="figures">$10,500</span> (private)' in seen
        assert "$500 above, 4.8 per cent of it" in seen
        assert 'Landed cost, <span class="figures">$8,123</span> (private)' in seen
        assert "$2,877 above, 35.4 per cent of it, 26.2 per cent of what is given" in seen
        assert "The sum of 1 cost row." in seen
        seen = helpers.get(page).text
        assert "$1,500 below, 12.0 per cent of it" in seen
        for private in ("10,500", "8,123", "2,877", "$500", "Floor", "Landed cost"):
            assert private not in seen


def test_of_a_consigned_piece_the_owner_reads_the_share(
    owners: Client, helpers: Client, inquiry: Inquiry
) -> None:
    Acquisition.objects.create(
        instrument=inquiry.instrument, how="consigned", seller="x", on=NOON.date(), commission_percent=20
    )
    offered(inquiry)
    assert "Our commission on $11,000, 20 per cent, is $2,200; the consignor has $8,800." in page_of(
        owners, inquiry
    )
    assert "commission" not in page_of(helpers, inquiry)


def test_a_piece_priced_in_another_currency_since_is_held_against_the_old_price_alone(
    owners: Client, inquiry: Inquiry
) -> None:
    offered(inquiry)
    Instrument.objects.filter(pk=inquiry.instrument_id).update(currency="EUR", asking_price=9000)
    page = page_of(owners, inquiry)
    assert "$1,500 below, 12.0 per cent of it" in page
    assert "Landed cost" not in page


def test_what_others_would_give_is_shown_with_the_way_there(helpers: Client, inquiry: Inquiry) -> None:
    rival = InquiryFactory(instrument=inquiry.instrument, contact__name="Ada Vane")
    offered(rival, 11500)
    page = page_of(helpers, inquiry)
    assert "Others would give" in page
    assert f'<a href="{reverse("inquiry", args=[rival.pk])}#offers">Ada Vane</a>' in page


def test_the_first_press_says_what_it_comes_to_and_the_second_accepts(
    helpers: Client, inquiry: Inquiry
) -> None:
    offer = offered(inquiry)
    url = reverse("offer-accept", args=[offer.pk])
    page = helpers.get(url).text
    assert "it is on hold for Cole Withers until <b>Fri 12 Jun 2026, 8:00 am</b>" in page
    assert not Hold.objects.exists()
    answer = helpers.post(url, follow=True)
    assert "The offer is accepted." in answer.text
    assert "is on hold for Cole Withers until Fri 12 Jun 2026, 8:00 am. Nothing was sent" in answer.text
    assert OfferEnd.objects.get().hold == Hold.objects.get()
    again = helpers.post(url)
    assert "This offer was accepted already, on Wed 10 Jun 2026, 8:00 am." in again.text
    assert "It cannot be accepted again." in again.text


def test_where_another_has_it_the_press_is_meant(helpers: Client, inquiry: Inquiry) -> None:
    offer = offered(inquiry)
    url = reverse("offer-accept", args=[offer.pk])
    rival = InquiryFactory(instrument=inquiry.instrument, contact__name="Ada Vane")
    offered(rival, 10900)
    place_hold(inquiry.instrument, rival, by=None, at=NOON)
    said = helpers.post(url).text  # the page was loaded while it was free
    assert "Ada Vane has it on hold until Fri 12 Jun 2026, 8:00 am." in said
    assert "Cole Withers would only be first in the queue." in said
    assert 'name="behind" value="yes"' in said
    assert "Their offers stay open" in said
    assert not OfferEnd.objects.exists()
    answer = helpers.post(url, {"behind": "yes"}, follow=True)
    assert "Cole Withers is in the queue for No." in answer.text


def test_a_lapsed_offer_asks_for_a_new_one(helpers: Client, inquiry: Inquiry, clock: Clock) -> None:
    offer = offered(inquiry, until=NOON + DAY)
    clock.on(days=1)
    assert "Lapsed" in page_of(helpers, inquiry)
    url = reverse("offer-accept", args=[offer.pk])
    assert "It cannot be accepted." in helpers.get(url).text
    assert "has lapsed. Note a new one if it still stands." in helpers.post(url).text
    assert not Hold.objects.exists()


@pytest.mark.parametrize(
    ("route", "how", "word"),
    [("offer-decline", "declined", "Declined"), ("offer-take-back", "taken-back", "Taken back")],
)
def test_an_offer_is_ended_with_its_reason(
    helpers: Client, helper: User, inquiry: Inquiry, route: str, how: str, word: str
) -> None:
    offer = offered(inquiry)
    url = reverse(route, args=[offer.pk])
    page = helpers.post(url, {"reason": "Too low"}, follow=True).text
    end = OfferEnd.objects.get()
    assert (end.how, end.reason, end.by) == (how, "Too low", helper)
    assert f"{word} Wed 10 Jun 2026, 8:00 am by {helper}: Too low." in page
    assert f"This offer was {word.lower()} on" in helpers.post(url, {"reason": ""}, follow=True).text


def test_a_reason_that_is_too_long_is_said(helpers: Client, inquiry: Inquiry) -> None:
    offer = offered(inquiry)
    page = helpers.post(reverse("offer-decline", args=[offer.pk]), {"reason": "x" * 301}, follow=True).text
    assert "Nothing was saved." in page
    assert not OfferEnd.objects.exists()


def test_a_thread_about_another_matter_has_no_offers(helpers: Client, inquiry: Inquiry) -> None:
    other = InquiryFactory(instrument=None, matter="Strings")
    assert 'id="offers"' not in page_of(helpers, other)
    assert helpers.post(reverse("offer-new", args=[other.pk]), typed()).status_code == 404


def test_the_list_has_open_ones_in_the_order_in_which_they_lapse(helpers: Client, inquiry: Inquiry) -> None:
    assert "There is none." in helpers.get(reverse("offers")).text
    for name, until in (("Nora", None), ("Otto", NOON + 2 * DAY), ("Pia", NOON + DAY)):
        offered(InquiryFactory(contact__name=name), until=until)
    decline(offered(InquiryFactory(contact__name="Quinn")), by=None, at=NOON)
    page = helpers.get(reverse("offers")).text
    assert page.index("Pia") < page.index("Otto") < page.index("Nora")
    assert "Quinn" not in page
    assert "Quinn" in helpers.get(reverse("offers") + "?show=all").text


@pytest.mark.parametrize("number", ["", "x", "٣", "9999999999", "3"])
def test_a_number_that_is_none_narrows_nothing(helpers: Client, inquiry: Inquiry, number: str) -> None:
    offered(inquiry)
    assert "Cole Withers" in helpers.get(reverse("offers"), {"stock": number}).text


def test_the_record_leads_to_every_offer_for_its_piece(helpers: Client, inquiry: Inquiry) -> None:
    piece = inquiry.instrument
    decline(offered(inquiry), by=None, at=NOON)
    offered(InquiryFactory(contact__name="Nora"))
    way = f"{reverse('offers')}?stock={piece.stock_id}&amp;show=all"
    assert way in helpers.get(reverse("record", args=[piece.stock_id])).text
    page = helpers.get(way.replace("&amp;", "&")).text
    assert "Cole Withers" in page
    assert "Nora" not in page


@pytest.mark.parametrize("query", ["", "?show=all"])
def test_the_list_asks_as_much_of_the_books_for_one_as_for_many(
    owners: Client, inquiry: Inquiry, query: str
) -> None:
    def asked() -> int:
        with CaptureQueriesContext(
            connection,
        ) as asked:
            owners.get(reverse("offers") + query)
        return len(asked)

    offered(inquiry, trade_in="A mandolin", trade_in_value=Decimal(5))
    accept(offered(InquiryFactory()), by=None, at=NOON)
    asked()
    few = asked()
    for _ in range(5):
        offered(InquiryFactory())
        accept(offered(InquiryFactory()), by=None, at=NOON)
    assert asked() == few


def test_many_offers_for_a_piece_cost_the_thread_no_more(owners: Client, inquiry: Inquiry) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as asked:
            page_of(owners, inquiry)
        return len(asked)

    offered(inquiry)
    offered(InquiryFactory(instrument=inquiry.instrument))
    asked()
    few = asked()
    for _ in range(4):
        offered(InquiryFactory(instrument=inquiry.instrument))
        offered(inquiry)
    assert asked() == few


def test_the_deposit_is_proposed_on_all_that_the_accepted_offer_comes_to(
    helpers: Client, inquiry: Inquiry
) -> None:
    hold = accept(offered(inquiry, trade_in="A tenor guitar", trade_in_value=Decimal(900)), by=None, at=NOON)
    page = helpers.get(reverse("deposit", args=[hold.pk])).text
    assert 'name="price" value="11,900' in page
    assert "The offer of Wed 10 Jun 2026, 8:00 am was accepted: $11,000, and a trade-in besides" in page
    assert "A tenor guitar, counted at $900. Take it in trade once the sale is open." in page


def test_without_an_offer_the_deposit_is_proposed_on_the_asking_price(
    helpers: Client, inquiry: Inquiry
) -> None:
    offered(inquiry)
    hold = place_hold(inquiry.instrument, inquiry, by=None, at=NOON)
    page = helpers.get(reverse("deposit", args=[hold.pk])).text
    assert 'name="price" value="12,500' in page
    assert "was accepted" not in page


def test_today_leads_to_the_offer_that_lapses(helpers: Client, inquiry: Inquiry) -> None:
    offered(inquiry, until=NOON + timedelta(hours=5))
    page = helpers.get(reverse("today")).text
    assert f'href="{reverse("inquiry", args=[inquiry.pk])}#offers"' in page
    assert "See the offer" in page


def test_an_offer_for_what_was_sold_since_can_only_be_declined(helpers: Client, inquiry: Inquiry) -> None:
    offer = offered(inquiry)
    closed(instrument=inquiry.instrument)
    page = helpers.post(reverse("offer-accept", args=[offer.pk])).text
    assert "is sold already, so this offer cannot be accepted." in page
    helpers.post(reverse("offer-decline", args=[offer.pk]))
    assert OfferEnd.objects.get().how == "declined"
