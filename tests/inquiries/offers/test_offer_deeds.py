"""Noting an offer, and each way in which it ends."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from catalog.models import Instrument
from inquiries.models import Hold, Inquiry, Message, Offer, OfferEnd
from inquiries.offers.actions import accept, decline, make_offer, take_back
from inquiries.offers.queries import accepted_for, figures, offers, open_at, open_offers, stands
from inquiries.offers.rules import Stands
from inquiries.people.merge_actions import merge
from inquiries.sales.hold_actions import place_hold, release_hold
from inquiries.threads.stops import stops_in
from shop.facts import FactIsFixed
from shop.history.queries import history_of
from shop.refusal import Refused
from tests.factories import NOON, ContactFactory, InquiryFactory, InstrumentFactory
from tests.inquiries.steps import closed, entry, held, opened

DAY, TICK = timedelta(days=1), timedelta(microseconds=1)
pytestmark = pytest.mark.usefixtures("profile")


def offered(inquiry: Inquiry, amount: int = 11000, *, at: datetime = NOON, **fields: Any) -> Offer:
    return make_offer(inquiry, **{"amount": Decimal(amount), "entry": entry(), "by": None, "at": at} | fields)


@pytest.fixture
def inquiry(profile: object) -> Inquiry:
    made: Inquiry = InquiryFactory(contact__name="Cole Withers")
    return made


@pytest.fixture
def rival(inquiry: Inquiry) -> Inquiry:
    made: Inquiry = InquiryFactory(instrument=inquiry.instrument, contact__name="Ada Vane")
    return made


def how(offer: Offer) -> str:
    found = OfferEnd.objects.filter(offer=offer).first()
    return found.how if found else ""


def test_an_offer_keeps_the_price_that_was_asked_then(inquiry: Inquiry) -> None:
    given = {
        "trade_in": "A tenor guitar",
        "trade_in_value": Decimal(900),
        "until": NOON + DAY,
        "note": "Firm",
    }
    offer = offered(inquiry, **given)
    Instrument.objects.filter(pk=inquiry.instrument_id).update(asking_price=11900, currency="USD")
    kept = Offer.objects.get()
    assert kept == offer
    assert (kept.amount, kept.currency, kept.asked) == (11000, "USD", 12500)
    assert {name: getattr(kept, name) for name in given} == given
    fresh = figures(offers().get(), owner=False, at=NOON)
    assert (fresh.asked, fresh.asking_now) == (12500, 11900)
    assert [row.new for row in history_of(inquiry) if row.verb == "offer made"] == [
        "$11,000 and a trade-in: A tenor guitar"
    ]
    assert [row.new for row in history_of(inquiry.instrument) if row.verb == "offer made"] == ["$11,000"]


def test_two_presses_are_one_offer(inquiry: Inquiry) -> None:
    pressed = entry()
    one, other = (offered(inquiry, entry=pressed) for _ in range(2))
    assert one == other
    assert how(one) == ""


def test_a_better_offer_replaces_the_one_before_and_leaves_those_of_others(
    inquiry: Inquiry, rival: Inquiry
) -> None:
    first, theirs = offered(inquiry), offered(rival, 11500)
    second = offered(inquiry, 11800, at=NOON + DAY)
    assert (how(first), how(theirs), how(second)) == ("replaced", "", "")
    assert set(open_offers(NOON + DAY)) == {theirs, second}


def test_one_that_has_lapsed_is_not_replaced(inquiry: Inquiry) -> None:
    first = offered(inquiry, until=NOON + DAY)
    offered(inquiry, at=NOON + DAY)
    assert how(first) == ""
    assert stands(offers().get(pk=first.pk), at=NOON + DAY) == Stands.LAPSED


def test_an_offer_on_another_piece_is_left_alone(inquiry: Inquiry) -> None:
    elsewhere = InquiryFactory(contact=inquiry.contact)
    first = offered(elsewhere)
    accept(offered(inquiry), by=None, at=NOON)
    assert how(first) == ""


@pytest.mark.parametrize(
    ("fields", "code", "says"),
    [
        ({"until": NOON}, "gone-by", "has gone by"),
        ({"amount": Decimal(0)}, "nothing-given", "Write an amount"),
    ],
)
def test_an_offer_that_cannot_be_is_refused(
    inquiry: Inquiry, fields: dict[str, Any], code: str, says: str
) -> None:
    with pytest.raises(Refused, match=says) as refused:
        offered(inquiry, **fields)
    assert refused.value.code == code
    assert not Offer.objects.exists()


def test_nothing_is_offered_for_another_matter_or_for_what_is_sold(inquiry: Inquiry) -> None:
    about_nothing = InquiryFactory(instrument=None, matter="Strings")
    with pytest.raises(Refused, match="none of our pieces"):
        offered(about_nothing)
    closed(instrument=inquiry.instrument)
    with pytest.raises(Refused, match="is sold already"):
        offered(inquiry, at=NOON + DAY)


def test_a_trade_in_alone_is_an_offer(inquiry: Inquiry) -> None:
    assert offered(inquiry, 0, trade_in="A mandolin").trade_in_value is None


def test_accepting_holds_the_piece_in_the_same_step(inquiry: Inquiry, rival: Inquiry) -> None:
    theirs, offer = offered(rival, 11500), offered(inquiry)
    hold = accept(offer, by=None, at=NOON + DAY)
    assert (hold.state, hold.contact, hold.asked_at) == (Hold.State.ACTIVE, inquiry.contact, NOON + DAY)
    assert (offer.end.how, offer.end.hold, offer.end.at) == ("accepted", hold, NOON + DAY)
    assert how(theirs) == ""
    assert accepted_for(hold) == offer
    assert not Message.objects.exists()


def test_a_hold_that_they_have_already_is_the_hold(inquiry: Inquiry) -> None:
    hold = place_hold(inquiry.instrument, inquiry, by=None, at=NOON)
    assert accept(offered(inquiry), by=None, at=NOON + TICK) == hold
    assert Hold.objects.count() == 1


def test_an_offer_is_accepted_once(inquiry: Inquiry) -> None:
    offer = offered(inquiry)
    accept(offer, by=None, at=NOON)
    with pytest.raises(Refused, match="was accepted already") as refused:
        accept(offer, by=None, at=NOON + DAY)
    assert refused.value.code == "accepted"
    assert Hold.objects.count() == 1


@pytest.mark.parametrize("end", [decline, take_back])
def test_what_has_ended_ends_no_second_time(inquiry: Inquiry, end: Any) -> None:
    offer = offered(inquiry)
    end(offer, reason="Too low", by=None, at=NOON)
    assert OfferEnd.objects.get().reason == "Too low"
    for again in (accept, decline, take_back):
        with pytest.raises(Refused, match="Note a new one"):
            again(offer, by=None, at=NOON)
    assert not Hold.objects.exists()


@pytest.mark.parametrize("deed", [accept, decline, take_back])
def test_an_offer_ends_up_to_its_instant_and_has_lapsed_at_it(inquiry: Inquiry, deed: Any) -> None:
    offer = offered(inquiry, until=NOON + DAY)
    with pytest.raises(Refused, match=r"has lapsed\. Note a new one"):
        deed(offer, by=None, at=NOON + DAY)
    deed(offer, by=None, at=NOON + DAY - TICK)
    assert how(offer)


def test_what_is_held_by_another_is_accepted_into_the_queue_only_if_that_is_meant(
    inquiry: Inquiry, rival: Inquiry
) -> None:
    place_hold(inquiry.instrument, rival, by=None, at=NOON)
    offer = offered(inquiry)
    with pytest.raises(
        Refused, match=r"Ada Vane has it on hold until .* would only be first in the queue"
    ) as no:
        accept(offer, by=None, at=NOON)
    assert no.value.code == "taken"
    assert how(offer) == ""
    assert not inquiry.holds.exists()
    hold = accept(offer, behind=True, by=None, at=NOON)
    assert hold.state == Hold.State.QUEUED
    assert how(offer) == "accepted"


def test_who_waits_in_the_queue_already_is_said_to_go_on_waiting(inquiry: Inquiry, rival: Inquiry) -> None:
    place_hold(inquiry.instrument, rival, by=None, at=NOON)
    waiting = place_hold(inquiry.instrument, inquiry, by=None, at=NOON)
    offer = offered(inquiry)
    with pytest.raises(Refused, match="would go on waiting"):
        accept(offer, by=None, at=NOON)
    assert accept(offer, behind=True, by=None, at=NOON) == waiting


def test_a_hold_whose_end_has_come_is_not_in_the_way(inquiry: Inquiry, rival: Inquiry) -> None:
    place_hold(inquiry.instrument, rival, by=None, at=NOON, hours=24)
    assert accept(offered(inquiry), by=None, at=NOON + DAY).state == Hold.State.ACTIVE


def test_behind_an_open_sale_one_waits_and_the_buyer_needs_no_acceptance(inquiry: Inquiry) -> None:
    sale = opened(instrument=inquiry.instrument)
    offer = offered(inquiry)
    with pytest.raises(
        Refused, match=r"the sale is not closed\. Cole Withers would only be first in the queue"
    ):
        accept(offer, by=None, at=NOON)
    hold = accept(offer, behind=True, by=None, at=NOON)
    assert (hold.state, hold.until) == (Hold.State.QUEUED, None)
    with pytest.raises(Refused, match=f"the price stands in sale {sale.number}"):
        accept(offered(sale.inquiry), by=None, at=NOON)


def test_what_is_not_for_sale_or_sold_is_not_accepted(inquiry: Inquiry) -> None:
    draft = InquiryFactory(instrument=InstrumentFactory())
    kept = offered(draft)
    with pytest.raises(Refused, match="is not for sale, so it cannot be held"):
        accept(kept, by=None, at=NOON)
    offer = offered(inquiry)
    closed(instrument=inquiry.instrument)
    with pytest.raises(Refused, match="is sold already, so this offer cannot be accepted"):
        accept(offer, by=None, at=NOON + DAY)
    assert (how(kept), how(offer)) == ("", "")
    decline(offer, by=None, at=NOON + DAY)


def test_what_two_merged_people_offered_is_settled_by_one_acceptance(inquiry: Inquiry) -> None:
    twin = InquiryFactory(instrument=inquiry.instrument)
    first, second = offered(twin, 10500), offered(inquiry)
    merge(inquiry.contact, twin.contact, by=None, at=NOON)
    accept(Offer.objects.get(pk=second.pk), by=None, at=NOON)
    assert (how(first), how(second)) == ("replaced", "accepted")


def test_the_books_allow_one_end_and_no_change(inquiry: Inquiry) -> None:
    offer = offered(inquiry)
    decline(offer, by=None, at=NOON)
    with pytest.raises(IntegrityError), transaction.atomic():
        OfferEnd.objects.create(offer=offer, how="accepted", at=NOON)
    with pytest.raises(FactIsFixed):
        Offer.objects.update(amount=1)


def test_a_hold_without_an_acceptance_proposes_nothing(inquiry: Inquiry) -> None:
    hold = held(inquiry.instrument)
    assert accepted_for(hold) is None
    release_hold(hold, by=None, at=NOON)


def test_the_list_and_the_rule_call_the_same_offers_open(inquiry: Inquiry) -> None:
    ends = [None, *((name, NOON + step) for name in OfferEnd.How.values for step in (-TICK, TICK * 0, TICK))]
    for until in (None, NOON - TICK, NOON, NOON + TICK):
        for end in ends:
            offer = Offer.objects.create(
                inquiry=inquiry,
                instrument=inquiry.instrument,
                amount=1,
                currency="USD",
                until=until,
                at=NOON - DAY,
                entry=entry(),
            )
            if end:
                OfferEnd.objects.create(offer=offer, how=end[0], at=end[1])
    listed = set(offers().filter(open_at(NOON)))
    by_rule = {offer for offer in offers() if stands(offer, at=NOON) == Stands.OPEN}
    assert listed == by_rule
    assert 0 < len(listed) < Offer.objects.count()


def test_a_letter_may_name_their_own_offer_and_nobody_elses(inquiry: Inquiry, rival: Inquiry) -> None:
    offered(inquiry, 11000, trade_in="A tenor guitar", trade_in_value=Decimal(900))
    offered(rival, 11250, trade_in="A mandolin with a pierced head and no case", trade_in_value=Decimal(700))

    def marked(text: str, thread: Inquiry) -> list[str]:
        return [text[stop.start : stop.end] for stop in stops_in(text, thread)]

    own = "You offered $11,000 and a tenor guitar that counts as $900, which is $11,900 together."
    assert marked(own, inquiry) == []
    others = "Somebody offers $11,250 and a trade-in at $700, so $11,950."
    assert marked(others, inquiry) == ["$11,250", "$700", "$11,950"]
    assert marked(own, rival) == ["$11,000", "$900", "$11,900"]
    assert marked("They have a mandolin with a pierced head.", inquiry) == ["a mandolin with a pierced head"]
    assert marked("They have a mandolin with a pierced head.", rival) == []


def test_a_person_without_a_thread_of_their_own_keeps_their_offers_apart(inquiry: Inquiry) -> None:
    other = InquiryFactory(instrument=inquiry.instrument, contact=ContactFactory())
    first, second = offered(inquiry), offered(other)
    take_back(first, by=None, at=NOON)
    assert how(second) == ""
