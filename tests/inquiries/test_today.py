"""Today: what waits for somebody, in order, each line leading to where it is done."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.models import Acquisition, Finding, Instrument, Photograph
from inquiries.models import (
    Call,
    Contact,
    FirstCall,
    Hold,
    HoldNotice,
    Inquiry,
    Message,
    Offer,
    OfferEnd,
    ReceivedMail,
    Sale,
    Want,
)
from inquiries.review.due import due_today
from inquiries.review.letters import NO_WORKER
from inquiries.review.lines import Due
from inquiries.sales import actions
from inquiries.sales.hold_actions import release_hold
from inquiries.sales.telling import span_said
from inquiries.sales.telling_actions import note_told
from inquiries.threads.actions import lay_aside
from inquiries.threads.turn_actions import follow_up, no_follow_up
from shop.history.models import Entry
from shop.hours.actions import set_hours
from shop.models import Job, User
from tests.factories import NOON, ContactFactory, InquiryFactory, InstrumentFactory, PhotographFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import ask, back, delivered, entry, held, opened, sent, settle

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)
TICK = timedelta(microseconds=1)


def part(slug: str, user: User, at: Any = NOON) -> list[Due]:
    """The lines of one part of the page."""
    return [item for part in due_today(user=user, at=at) if part.slug == slug for item in part.items]


def whats(slug: str, user: User, at: Any = NOON) -> list[str]:
    """What its lines begin with."""
    return [item.what.partition(":")[0] for item in part(slug, user, at)]


def test_with_nothing_due_the_page_says_so(helpers: Client, client: Client) -> None:
    assert "Nothing is due." in helpers.get(reverse("today")).text
    assert helpers.post(reverse("today")).status_code == 405
    assert client.get(reverse("today"))["Location"].startswith("/desk/log-in/")


def test_questions_stand_with_how_long_they_wait(helper: User) -> None:
    late, later = InquiryFactory(contact__name="Late"), InquiryFactory(contact__name="Later")
    ask(later, at=NOON - HOUR)
    ask(late, at=NOON - 2 * DAY)
    ask(answered := InquiryFactory(), at=NOON - 3 * DAY)
    ask(answered, at=NOON - DAY, ours=True, channel=Message.Channel.MAIL)
    items = part("questions", helper)
    assert [item.what.partition(",")[0] for item in items] == ["Late", "Later"]
    assert [item.note for item in items] == [
        "Waiting 48 hours (since Mon 8:00 am)",
        "Waiting 1 hour (since Wed 7:00 am)",
    ]
    set_hours({day: ((time(9), time(17)),) for day in range(7)}, by=None, at=NOON)
    assert [item.note for item in part("questions", helper)] == [
        "Waiting 16 opening hours (since Mon 8:00 am)",
        "Waiting no opening hours yet (since Wed 7:00 am)",
    ]
    assert items[0].href == reverse("inquiry", args=[late.pk])


def test_a_day_set_has_come_by_the_shops_clock_and_stays_until_it_is_cleared(helper: User) -> None:
    # 10 June begins in New York at 4 am of UTC.
    begins = datetime(2026, 6, 10, 4, tzinfo=UTC)
    inquiry = InquiryFactory(contact__name="Cole Withers")
    follow_up(inquiry, date(2026, 6, 10), "Back from Oslo", today=date(2026, 6, 1), by=None, at=NOON)
    lay_aside(inquiry, by=None, at=NOON)  # the day holds all the same
    assert part("follow-ups", helper, begins - TICK) == []
    (item,) = part("follow-ups", helper, begins)
    assert (item.note, item.over) == ("Set for today: Back from Oslo", False)
    assert item.href == reverse("inquiry", args=[inquiry.pk]) + "#follow-up"
    (item,) = part("follow-ups", helper, begins + DAY)
    assert (item.note, item.over) == ("Set for 10 June 2026, 1 day ago: Back from Oslo", True)
    no_follow_up(inquiry, by=None, at=NOON)
    assert part("follow-ups", helper, begins + DAY) == []


def received(place: str, at: datetime, sort: str = "person", **fields: Any) -> ReceivedMail:
    return ReceivedMail.objects.create(
        key=entry(), sha256="0" * 64, bytes=1, sort=sort, place=place, received_at=at, **fields
    )


def test_mail_to_sort_is_counted_and_mail_laid_by_is_not(helper: User) -> None:
    received("aside", NOON - DAY, sort="spam")
    received("aside", NOON - DAY, seen_at=NOON)
    assert part("mail", helper) == []
    received("guessed", NOON - HOUR)
    assert [item.what for item in part("mail", helper)] == ["A mail to sort"]
    received("aside", NOON - 2 * HOUR)
    received("guessed", NOON)
    (item,) = part("mail", helper)
    assert (item.what, item.when) == ("3 mails to sort", NOON - 2 * HOUR)
    assert item.note == "2 perhaps of a thread · 1 of no thread that we know"


def first_call(*said: str) -> FirstCall:
    first = FirstCall.objects.create(instrument=InstrumentFactory(), hours=24, opened_at=NOON)
    for position, word in enumerate(said):
        contact = ContactFactory(name=f"Seeker {position}")
        told = {} if word == "not-told" else {"told_at": NOON, "until": NOON + DAY}
        want = Want.objects.create(contact=contact, sought="A tenor", asked_at=NOON)
        Call.objects.create(first_call=first, want=want, position=position, said=word, **told)
    return first


def test_a_first_call_says_who_wants_it_whose_time_runs_and_who_has_not_been_told(helper: User) -> None:
    first_call("no", "nothing", "not-told", "not-told")
    (item,) = part("first-calls", helper)
    assert (item.note, item.when, item.over) == ("Seeker 1 has been told · 2 not told yet", NOON + DAY, False)
    (item,) = part("first-calls", helper, NOON + DAY)  # the time is over, and the next is to be told
    assert (item.note, item.when, item.over) == ("2 not told yet", None, True)
    FirstCall.objects.update(ended_at=NOON)
    assert part("first-calls", helper) == []
    first_call("yes", "passed")
    assert [(item.note, item.over) for item in part("first-calls", helper)] == [("Seeker 0 wants it", True)]


def offered(inquiry: Inquiry, amount: int, **fields: Any) -> Offer:
    return Offer.objects.create(
        inquiry=inquiry,
        instrument=inquiry.instrument,
        amount=Decimal(amount),
        currency="USD",
        at=NOON,
        entry=entry(),
        **fields,
    )


def test_an_offer_is_due_in_its_last_day_unless_it_has_ended(helper: User) -> None:
    inquiry = InquiryFactory(contact__name="Cole Withers")
    first = offered(inquiry, 9000, until=NOON + 2 * DAY)
    second = offered(inquiry, 9500, until=NOON + 2 * DAY, trade_in="A mandolin")
    assert part("offers", helper, NOON + DAY - TICK) == []
    assert [item.note for item in part("offers", helper, NOON + DAY)] == ["$9,000", "$9,500 and a trade-in"]
    assert part("offers", helper, NOON + 2 * DAY) == []
    OfferEnd.objects.create(offer=first, how=OfferEnd.How.REPLACED, at=NOON)
    assert [item.note for item in part("offers", helper, NOON + DAY)] == ["$9,500 and a trade-in"]
    assert second.instrument.name in part("offers", helper, NOON + DAY)[0].what


def test_the_correspondence_stands_first_in_its_order(helper: User) -> None:
    first_call("not-told")
    held(at=NOON - DAY)
    follow_up(inquiry := InquiryFactory(), NOON.date(), "", today=NOON.date(), by=None, at=NOON)
    ask(inquiry, at=NOON)
    ask(inquiry, at=NOON, ours=True, automatic=True, delivery=Message.Delivery.STUCK, trouble="x")
    slugs = [part.slug for part in due_today(user=helper, at=NOON)]
    assert slugs[:5] == ["questions", "follow-ups", "messages", "first-calls", "holds"]


@pytest.mark.parametrize(
    ("passed", "shown"),
    [(DAY - TICK, []), (DAY, ["Hold ends"]), (2 * DAY - TICK, ["Hold ends"]), (2 * DAY, [])],
)
def test_a_hold_is_due_in_its_last_day(passed: timedelta, shown: list[str], helper: User) -> None:
    held(at=NOON)  # for 48 hours
    assert whats("holds", helper, NOON + passed) == shown


def test_a_hold_that_moved_up_is_due_until_its_person_is_told(helper: User) -> None:
    first = held(at=NOON)
    second = held(first.instrument, at=NOON)
    assert whats("holds", helper, NOON + HOUR) == []
    release_hold(first, given_up="telephone", by=None, at=NOON + HOUR)
    assert whats("holds", helper, NOON + HOUR) == ["Hold has moved up"]
    ask(second.inquiry, at=NOON + 2 * HOUR, ours=True)  # about the colour of the case
    assert whats("holds", helper, NOON + 3 * HOUR) == ["Hold has moved up"]
    second.refresh_from_db()
    note_told(
        second,
        "moved-up",
        channel="telephone",
        note="",
        span=span_said(second),
        entry=entry(),
        by=helper,
        at=NOON + 3 * HOUR,
    )
    assert whats("holds", helper, NOON + 4 * HOUR) == []


def tell(hold: Hold, what: str, at: datetime) -> None:
    hold.refresh_from_db()
    span, how = span_said(hold), "telephone"
    note_told(hold, what, channel=how, note="", span=span, entry=entry(), by=None, at=at)


def test_whoever_is_released_by_a_deed_of_ours_is_to_be_told_until_a_notice_or_a_reply(helper: User) -> None:
    holds = [held(at=NOON) for _ in range(3)]
    for hold in holds:
        tell(hold, "placed", NOON)
        release_hold(hold, reason="It goes to the maker", by=None, at=NOON + HOUR)
    found = part("holds", helper, NOON + HOUR)
    assert [item.what for item in found] == [
        f"Hold has ended, to be told: No. {hold.instrument.stock_id}, {hold.instrument.name}, for {hold.contact}"
        for hold in holds
    ]
    assert found[0].note == "It goes to the maker. They have not been told yet."
    assert found[0].href == f"{reverse('hold-tell', args=[holds[0].pk])}?what=ended"
    tell(holds[0], "ended", NOON + 2 * HOUR)
    ask(holds[1].inquiry, at=NOON + 2 * HOUR, ours=True)
    ask(holds[2].inquiry, at=NOON + 2 * HOUR)  # a word of theirs tells them nothing
    ask(holds[2].inquiry, at=NOON + 2 * HOUR, ours=True, automatic=True)
    assert [item.href for item in part("holds", helper, NOON + 3 * HOUR)] == [
        f"{reverse('hold-tell', args=[holds[2].pk])}?what=ended"
    ]
    Contact.objects.filter(pk=holds[2].contact_id).update(erased_at=NOON)
    assert part("holds", helper, NOON + 3 * HOUR) == []


def test_who_gave_it_up_or_let_it_lapse_is_not_to_be_told(helper: User) -> None:
    held(at=NOON)
    release_hold(held(at=NOON), given_up="visit", by=helper, at=NOON + HOUR)
    assert part("holds", helper, NOON + 3 * DAY) == []
    notice = HoldNotice.objects.get()
    assert (notice.what, notice.channel, notice.note, notice.by) == (
        "ended",
        "visit",
        "They gave it up themselves",
        helper,
    )


def test_who_waits_behind_a_sale_that_closes_is_to_be_told(helper: User) -> None:
    sale = delivered(opened(), at=NOON)
    held(sale.instrument, at=NOON, contact__name="Ada Vane")
    actions.close_sale(sale, by=None, at=NOON + 9 * DAY)
    (item,) = part("holds", helper, NOON + 9 * DAY)
    assert item.what.endswith("for Ada Vane")
    assert item.note == "Sold to another buyer. They have not been told yet."


def test_a_queue_that_has_come_up_is_due_before_the_worker_has_been_there(helper: User) -> None:
    held(first := InstrumentFactory(listed=True), at=NOON)
    second = held(first, at=NOON)
    assert second.state == "queued"
    assert whats("holds", helper, NOON + 2 * DAY) == ["Hold has moved up"]


def test_each_stage_of_a_sale_asks_for_its_own_deed(helper: User) -> None:
    sale = opened()
    assert whats("sales", helper) == ["Balance due", "Money to clear"]
    settle(sale, at=NOON)
    assert whats("sales", helper) == ["To be packed"]
    sent(sale, at=NOON)
    assert whats("sales", helper) == ["Delivery to record"]
    assert part("sales", helper)[0].href.endswith("#delivered")


def test_an_approval_period_ends_at_its_instant(helper: User) -> None:
    sale = delivered(opened(), at=NOON)
    ends = NOON + timedelta(minutes=1) + 2 * DAY
    before, after = part("sales", helper, ends - TICK), part("sales", helper, ends)
    assert [(item.what.partition(":")[0], item.when, item.over) for item in before + after] == [
        ("On approval", ends, False),
        ("To close", ends, True),
    ]
    assert after[0].href == reverse("sale", args=[sale.number]) + "#close"


def test_a_consignor_waits_for_the_owner_alone(owner: User, helper: User) -> None:
    sale = opened(at=NOON - 4 * DAY)
    Acquisition.objects.create(
        instrument=sale.instrument,
        how="consigned",
        seller="Orrin Pell",
        on=NOON.date(),
        commission_percent=Decimal(20),
    )
    actions.close_sale(delivered(sale, at=NOON - 3 * DAY), by=None, at=NOON)
    assert [item.note for item in part("sales", owner)] == ["The share is $10,000"]
    assert part("sales", helper) == []
    actions.pay_consignor(Sale.objects.get(), method="wire", by=None, at=NOON)
    assert part("sales", owner) == []


def test_pictures_refused_stand_before_pictures_being_prepared(helper: User) -> None:
    waiting, refused = InstrumentFactory(), InstrumentFactory()
    PhotographFactory(instrument=waiting, state=Photograph.State.WAITING)
    PhotographFactory(instrument=waiting, state=Photograph.State.WAITING)
    PhotographFactory(instrument=waiting)
    PhotographFactory(instrument=refused, state=Photograph.State.REFUSED, refusal="front.jpg is damaged.")
    assert [(item.note, item.over) for item in part("pictures", helper)] == [
        ("front.jpg is damaged.", True),
        ("2 being prepared", False),
    ]


def test_mail_that_has_not_gone_says_why(helper: User) -> None:
    inquiry = InquiryFactory(contact__name="Cole Withers")
    fields = {"ours": True, "channel": Message.Channel.MAIL}
    ask(inquiry, at=NOON, delivery=Message.Delivery.SENT, **fields)
    ask(inquiry, at=NOON, delivery=Message.Delivery.WAITING, **fields)
    ask(inquiry, at=NOON, delivery=Message.Delivery.WAITING, trouble="No answer from the server", **fields)
    ask(inquiry, at=NOON, delivery=Message.Delivery.STUCK, trouble="Ask whether it arrived.", **fields)
    assert [(item.note, item.over) for item in part("messages", helper)] == [
        ("No answer from the server", False),
        ("Ask whether it arrived.", True),
    ]


def test_mail_that_no_worker_takes_out_is_seen_after_a_quarter_of_an_hour(helper: User) -> None:
    fields = {"ours": True, "channel": Message.Channel.MAIL, "delivery": Message.Delivery.WAITING}
    ask(InquiryFactory(), at=NOON, **fields)
    assert part("messages", helper, NOON + timedelta(minutes=14)) == []
    assert [item.note for item in part("messages", helper, NOON + timedelta(minutes=15))] == [NO_WORKER]


def failed_job() -> Job:
    return Job.objects.create(
        task="inquiries.threads.sending.send_message",
        arguments={"message": 1},
        state=Job.State.FAILED,
        due=NOON,
        tries=6,
        error="SMTPConnectError: the server said 421",
    )


def test_work_that_failed_is_told_in_plain_words_and_tried_again_once(helpers: Client, helper: User) -> None:
    job = failed_job()
    page = helpers.get(reverse("today")).text
    assert "A message could not be sent" in page
    assert "Tried 6 times. the server said 421" in page
    assert "SMTPConnectError" not in page
    assert "send_message" not in page
    for _ in range(2):
        assert helpers.post(reverse("work-again", args=[job.pk]))["Location"] == reverse("today")
    job.refresh_from_db()
    assert (job.state, job.tries, job.due) == ("waiting", 0, NOON)
    assert Entry.objects.filter(about="job", verb="tried again").count() == 1
    assert part("work", helper) == []


def test_a_stranger_tries_nothing_again(client: Client, helpers: Client) -> None:
    job = failed_job()
    address = reverse("work-again", args=[job.pk])
    assert client.post(address)["Location"].startswith("/desk/log-in/")
    assert helpers.get(address).status_code == 405
    job.refresh_from_db()
    assert job.state == "failed"


def ready(instrument: Instrument) -> Instrument:
    """Everything that publishing asks for."""
    part = instrument.kind.parts.filter(children=None).first()
    Finding.objects.create(
        instrument=instrument,
        part=part,
        state=Finding.State.ORIGINAL,
        evidence="Seen under a lamp",
        examined_at=NOON,
    )
    for place, view in enumerate(instrument.kind.views.filter(required=True)):
        PhotographFactory(instrument=instrument, view=view, lead=place == 0)
    return instrument


def test_drafts_that_lack_little_are_named_with_what_they_lack(helper: User) -> None:
    unpriced = ready(InstrumentFactory(asking_price=None, story=""))
    whole = ready(InstrumentFactory())
    InstrumentFactory(grade="", condition="", story="", asking_price=None)
    ready(InstrumentFactory(listed=True))
    items = part("drafts", helper)
    assert [item.what.partition(",")[0] for item in items] == [
        f"No. {whole.stock_id}",
        f"No. {unpriced.stock_id}",
    ]
    assert items[0].href == reverse("preview", args=[whole.stock_id])
    assert (
        items[1].note
        == "Before it can go out: the story is empty; there is no asking price, and it is not on request."
    )


def test_a_draft_that_claims_too_much_is_not_called_ready(helper: User) -> None:
    ready(InstrumentFactory(story="It is all original."))
    (item,) = part("drafts", helper)
    assert item.deed == "Go on with it"
    assert item.note.startswith("Before it can go out: the story says “It is all original”: ")


def test_a_long_part_is_cut_and_leads_to_its_list(helpers: Client) -> None:
    for number in range(32):
        ask(InquiryFactory(), at=NOON - number * HOUR)
    page = helpers.get(reverse("today")).text
    assert page.count(">Answer</a>") == 30
    assert f'<a href="{reverse("inquiries")}">2 more</a>' in page


@pytest.mark.parametrize("many", [1, 6])
def test_the_page_costs_the_same_number_of_queries(
    many: int, owners: Client, clock: Clock, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(many):
        ask(InquiryFactory(), at=NOON)
        held(at=NOON)
        opened()
        delivered(opened(), at=NOON)
        back(delivered(opened(), at=NOON), at=NOON + DAY, differs="A crack")
        ready(InstrumentFactory())
        PhotographFactory(state=Photograph.State.WAITING)
        failed_job()
        first_call("nothing", "not-told")
        follow_up(InquiryFactory(), NOON.date(), "", today=NOON.date(), by=None, at=NOON)
        offered(InquiryFactory(), 9000, until=NOON + 2 * DAY)
        release_hold(held(at=NOON), by=None, at=NOON)
    clock.on(hours=30)
    owners.get(reverse("today"))
    with django_assert_num_queries(67):
        owners.get(reverse("today"))
