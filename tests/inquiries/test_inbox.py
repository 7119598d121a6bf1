"""The inbox: which threads stand in which list, in what order, and that a long list costs what a short one costs."""

from datetime import date, time, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from inquiries.desk.inbox import last_words
from inquiries.models import Inquiry, Message
from inquiries.threads.actions import lay_aside
from inquiries.threads.turn_actions import follow_up
from shop.hours.actions import set_hours
from tests.factories import NOON, ContactFactory, InquiryFactory, InstrumentFactory
from tests.inquiries.steps import ask

HOUR = timedelta(hours=1)
MAIL = Message.Channel.MAIL


def shown(browser: Client, address: str = "") -> list[str]:
    """Who stands in a list, from the top."""
    return [
        line.inquiry.contact.name for line in browser.get(reverse("inquiries") + address).context["lines"]
    ]


@pytest.fixture
def four(helpers: Client) -> Client:
    """One thread answered, two that wait, one laid aside."""
    answered, first, second, aside = (
        InquiryFactory(contact__name=name, opened_at=NOON - hours * HOUR)
        for name, hours in (("Answered", 30), ("First", 20), ("Second", 10), ("Aside", 40))
    )
    for inquiry in (answered, first, second, aside):
        ask(inquiry, at=inquiry.opened_at)
    ask(answered, at=NOON - HOUR, ours=True, channel=MAIL, body="It is\nhere.")
    ask(first, at=NOON - 19 * HOUR, ours=True, automatic=True, channel=MAIL)
    lay_aside(aside, by=None, at=NOON)
    return helpers


def test_what_a_machine_said_is_not_put_into_their_mouth(helpers: Client) -> None:
    inquiry = InquiryFactory(opened_at=NOON)
    ask(inquiry, at=NOON)
    ask(inquiry, at=NOON + HOUR, automatic=True, channel=MAIL, body="I am away.")
    page = helpers.get(reverse("inquiries")).text
    assert "<b>A machine, e-mail:</b> I am away." in page


@pytest.mark.parametrize(
    ("address", "names"),
    [
        ("", ["First", "Second"]),
        ("?show=ours", ["First", "Second"]),
        ("?show=nonsense", ["First", "Second"]),
        ("?show=theirs", ["Answered"]),
        ("?show=done", ["Aside"]),
        ("?show=all", ["Second", "First", "Answered", "Aside"]),
        ("?after=nonsense", ["First", "Second"]),
        ("?after=2026-06-10T12:00:00~1", ["First", "Second"]),  # an instant of no zone
    ],
)
def test_each_list_in_its_order(address: str, names: list[str], four: Client) -> None:
    assert shown(four, address) == names


def test_a_line_says_whose_word_was_last_and_how_long_it_has_waited(four: Client) -> None:
    page = four.get(reverse("inquiries")).text
    assert "<b>They, form on the site:</b> Is it still there?" in page
    assert "waiting 20 hours (since Tue 12:00 pm)" in page
    assert "waiting is counted day and night" in page
    assert "Give them" not in page  # the hours are the owner's
    assert "<b>We, e-mail:</b> It is here." in four.get(reverse("inquiries") + "?show=theirs").text
    for word, count in (("Ours to answer", 2), ("Theirs to answer", 1), ("Done", 1), ("All", 4)):
        assert f'{word} <span class="inbox-count">{count}</span>' in page


def test_a_wait_is_told_in_opening_hours(four: Client) -> None:
    set_hours({1: ((time(9), time(17)),)}, by=None, at=NOON)  # Tuesdays; it is Wednesday, 8 am
    page = four.get(reverse("inquiries")).text
    assert "waiting 5 opening hours (since Tue 12:00 pm)" in page
    assert "waiting no opening hours yet (since Tue 10:00 pm)" in page
    assert "day and night" not in page


def test_somebody_who_asks_again_waits_from_that_question_on(four: Client) -> None:
    answered = Inquiry.objects.get(contact__name="Answered")
    ask(answered, at=NOON - HOUR / 2)
    ask(answered, at=NOON - HOUR / 4)
    assert shown(four) == ["First", "Second", "Answered"]
    assert "waiting 30 minutes" in four.get(reverse("inquiries")).text


def test_the_day_to_look_at_it_again_stands_in_the_list(four: Client) -> None:
    inquiry = Inquiry.objects.get(contact__name="First")
    follow_up(inquiry, date(2026, 7, 1), "Back from Oslo", today=NOON.date(), by=None, at=NOON)
    assert "Look at it again on 1 July 2026: Back from Oslo" in four.get(reverse("inquiries")).text


def test_an_acknowledgement_in_the_same_instant_stands_back_behind_the_question(db: None) -> None:
    asked = InquiryFactory()
    ask(asked, at=NOON)
    ask(asked, at=NOON, ours=True, automatic=True, channel=MAIL, body="Thank you for asking.")
    only = InquiryFactory()
    ask(only, at=NOON, ours=True, automatic=True, channel=MAIL, body="Thank you for asking.")
    silent = InquiryFactory()
    found = last_words(list(Inquiry.objects.all()))
    assert (found[asked.pk].ours, found[only.pk].begins) == (False, "Thank you for asking.")
    assert silent.pk not in found


@pytest.mark.parametrize("show", ["ours", "theirs", "done", "all"])
def test_a_long_list_is_read_to_its_end_and_back_with_nothing_twice(show: str, helpers: Client) -> None:
    contact, piece = ContactFactory(), InstrumentFactory(listed=True)
    number = 120
    threads = Inquiry.objects.bulk_create(
        Inquiry(
            contact=contact,
            instrument=None if show != "done" else piece,
            matter=f"Matter {place}",
            opened_at=NOON + HOUR * (place // 3),  # many in one instant
            last_at=NOON + HOUR * (place // 3),
            waiting_since=NOON + HOUR * (place // 3) if show == "ours" else None,
            done_at=NOON + HOUR * (place // 3) if show == "done" else None,
        )
        for place in range(number)
    )
    base = reverse("inquiries")
    pages = [helpers.get(base, {"show": show}).context]
    while pages[-1]["stretch"].further:
        pages.append(helpers.get(base, {"show": show, "after": pages[-1]["stretch"].further}).context)
    forth = [[row.pk for row in page["stretch"].rows] for page in pages]
    read = [key for page in forth for key in page]
    keys = [thread.pk for thread in threads]
    assert read == (keys if show == "ours" else keys[::-1])
    assert [len(page) for page in forth] == [50, 50, 20]
    assert pages[0]["stretch"].earlier == ""

    back = helpers.get(base, {"show": show, "before": pages[2]["stretch"].earlier}).context["stretch"]
    assert [row.pk for row in back.rows] == forth[1]
    first = helpers.get(base, {"show": show, "before": back.earlier}).context["stretch"]
    assert [row.pk for row in first.rows] == forth[0]
    assert (first.earlier, bool(first.further)) == ("", True)


@pytest.mark.parametrize("many", [2, 49])
@pytest.mark.parametrize("show", ["ours", "theirs", "done", "all"])
def test_the_list_costs_the_same_number_of_queries(
    many: int, show: str, helpers: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(many):
        ask(inquiry := InquiryFactory(), at=NOON - number * HOUR, ours=show == "theirs")
        if show == "done":
            lay_aside(inquiry, by=None, at=NOON)
    address = reverse("inquiries") + f"?show={show}"
    helpers.get(address)
    # profile (twice), session, user, hours, closed days, threads, their last words, how many each list has
    with django_assert_num_queries(9):
        answer = helpers.get(address)
    assert len(answer.context["lines"]) == many
