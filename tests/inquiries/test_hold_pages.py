"""One press leads to a page that says to whom and until when; the second press places the hold."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Instrument
from inquiries.models import Contact, Hold, Inquiry
from shop.models import ShopProfile, User
from tests.factories import NOON, InquiryFactory, InstrumentFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import held, opened

HOUR = timedelta(hours=1)
# NOON is 12:00 UTC on 10 June 2026: 8 o'clock in the morning in the shop's zone, America/New_York.
TWO_DAYS_ON = "Fri 12 Jun 2026, 8:00 am"


@pytest.fixture
def inquiry(profile: ShopProfile) -> Inquiry:
    made: Inquiry = InquiryFactory(contact__name="Cole Withers")
    return made


def url(inquiry: Inquiry) -> str:
    return reverse("inquiry-hold", args=[inquiry.pk])


def test_the_first_press_only_says_what_would_be(helpers: Client, inquiry: Inquiry) -> None:
    page = helpers.get(url(inquiry)).text
    assert "for Cole Withers?" in page
    assert TWO_DAYS_ON in page
    assert 'name="hours" value="48"' in page
    assert not Hold.objects.exists()


def test_another_length_is_worked_out_before_anything_is_promised(helpers: Client, inquiry: Inquiry) -> None:
    page = helpers.post(url(inquiry), {"hours": "24", "look": "yes"}).text
    assert "Thu 11 Jun 2026, 8:00 am" in page
    assert not Hold.objects.exists()


def test_the_second_press_does_it_and_a_third_changes_nothing(
    helpers: Client, helper: User, inquiry: Inquiry, clock: Clock
) -> None:
    for _ in range(2):
        answer = helpers.post(url(inquiry), {"hours": "24"}, follow=True)
        clock.on(minutes=1)
    hold = Hold.objects.get()
    assert (hold.state, hold.asked_at, hold.until, hold.by) == ("active", NOON, NOON + 24 * HOUR, helper)
    assert "is on hold for Cole Withers until Thu 11 Jun 2026, 8:00 am." in answer.text
    assert answer.redirect_chain == [(reverse("inquiry", args=[inquiry.pk]), 302)]


def test_a_second_buyer_is_told_the_place_in_the_queue(helpers: Client, inquiry: Inquiry) -> None:
    held(inquiry.instrument, contact__name="Ada Vane")
    held(inquiry.instrument)
    page = helpers.get(url(inquiry)).text
    assert f"Ada Vane has it on hold until {TWO_DAYS_ON}." in page
    assert "Cole Withers would be <b>second in the queue</b>." in page
    assert "Sun 14 Jun 2026, 8:00 am" in page  # from, behind two holds of 48 hours
    assert "Tue 16 Jun 2026, 8:00 am" in page  # until
    helpers.post(url(inquiry), {"hours": "48"})
    assert inquiry.holds.get().starts_at == NOON + 96 * HOUR


@pytest.mark.parametrize(
    ("passed", "said"),
    [
        (timedelta(hours=48) - timedelta(microseconds=1), "first in the queue"),
        (timedelta(hours=48), "It is free."),
    ],
)
def test_at_its_very_instant_a_hold_no_longer_stands_in_the_way(
    passed: timedelta, said: str, helpers: Client, inquiry: Inquiry, clock: Clock
) -> None:
    held(inquiry.instrument)
    clock.at = NOON + passed
    assert said in helpers.get(url(inquiry)).text


def test_behind_a_sale_no_span_is_promised(helpers: Client, inquiry: Inquiry) -> None:
    opened(instrument=inquiry.instrument, contact__name="Ada Vane")
    page = helpers.get(url(inquiry)).text
    assert "It is sold to Ada Vane, and the sale is not closed." in page
    assert "<dt>Until</dt>" not in page
    page = helpers.post(url(inquiry), {"hours": "48"}, follow=True).text
    assert "should the sale fall through" in page
    assert inquiry.holds.get().until is None


def test_somebody_who_has_it_is_not_offered_it_again(helpers: Client) -> None:
    hold = held(contact__name="Ada Vane")
    page = helpers.get(url(hold.inquiry)).text
    assert "Ada Vane has it on hold" in page
    assert "Place the hold" not in page


@pytest.mark.parametrize("typed", ["", "0", "1441", "two days"])
def test_a_bad_length_comes_back_and_places_nothing(typed: str, helpers: Client, inquiry: Inquiry) -> None:
    answer = helpers.post(url(inquiry), {"hours": typed})
    assert answer.status_code == 200
    assert "Nothing was saved yet" in answer.text
    assert not Hold.objects.exists()


def test_what_is_not_for_sale_is_refused_with_a_sentence(helpers: Client, inquiry: Inquiry) -> None:
    Instrument.objects.update(state="draft")
    answer = helpers.post(url(inquiry), {"hours": "30"})
    assert "is not for sale, so it cannot be held. Publish it first." in answer.text
    assert 'value="30"' in answer.text
    assert not Hold.objects.exists()


def test_a_stranger_holds_nothing_and_no_other_method_does(
    client: Client, helpers: Client, inquiry: Inquiry
) -> None:
    assert client.post(url(inquiry), {"hours": "48"})["Location"].startswith("/desk/log-in/")
    assert helpers.put(url(inquiry)).status_code == 405
    assert not Hold.objects.exists()


def caller(**changed: str) -> dict[str, str]:
    return {"name": "Cole Withers", "email": "", "telephone": "+1 555 0147", "hours": "48"} | changed


def test_from_the_record_those_who_asked_are_offered_and_a_caller_is_confirmed_first(
    helpers: Client, inquiry: Inquiry
) -> None:
    address = reverse("hold", args=[inquiry.instrument.stock_id])
    assert url(inquiry) in helpers.get(address).text
    page = helpers.post(address, caller()).text
    assert "for Cole Withers?" in page
    assert 'name="telephone" value="+1 555 0147"' in page
    assert not Hold.objects.exists()
    assert Contact.objects.count() == 1


def test_a_caller_pressed_twice_is_one_person_with_one_hold(helpers: Client) -> None:
    address = reverse("hold", args=[InstrumentFactory(listed=True).stock_id])
    for _ in range(2):
        assert helpers.post(address, caller(confirmed="yes")).status_code == 302
    hold = Hold.objects.get()
    assert (hold.contact.name, hold.contact.telephone, hold.state) == (
        "Cole Withers",
        "+1 555 0147",
        "active",
    )
    assert Contact.objects.count() == Inquiry.objects.count() == 1


def test_a_refused_caller_is_not_kept_as_a_person(helpers: Client) -> None:
    address = reverse("hold", args=[InstrumentFactory().stock_id])
    answer = helpers.post(address, caller(confirmed="yes"))
    assert "is not for sale" in answer.text
    assert 'value="Cole Withers"' in answer.text
    assert not Contact.objects.exists()


def test_a_caller_who_cannot_be_reached_comes_back(helpers: Client) -> None:
    address = reverse("hold", args=[InstrumentFactory(listed=True).stock_id])
    answer = helpers.post(address, caller(telephone="", confirmed="yes"))
    assert "so that they can be reached" in answer.text
    assert 'value="Cole Withers"' in answer.text
    assert not Hold.objects.exists()


def test_a_release_has_a_reason_and_moves_the_queue_up(helpers: Client, helper: User, clock: Clock) -> None:
    first = held(at=NOON)
    second = held(first.instrument, at=NOON)
    address = reverse("hold-release", args=[first.pk])
    assert "Whoever waits behind moves up" in helpers.get(address).text

    assert "This field is required" in helpers.post(address, {"reason": ""}).text
    assert Hold.objects.get(pk=first.pk).state == "active"

    clock.on(hours=1)
    typed = {"reason": "Changed their mind", "given_up": "telephone"}
    assert helpers.post(address, typed).status_code == 302
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.state, first.reason, first.ended_at) == ("released", "Changed their mind", NOON + HOUR)
    assert (second.state, second.starts_at, second.until) == ("active", NOON + HOUR, NOON + 49 * HOUR)

    again = helpers.post(address, {"reason": "Changed their mind"})
    assert "This hold has already ended." in again.text
    assert 'value="Changed their mind"' in again.text
    page = helpers.get(reverse("hold-page", args=[first.pk])).text
    assert "Telephone, Nell Tarrow. They gave it up themselves." in page
    assert "Hold has ended" not in helpers.get(reverse("today")).text


def test_a_release_of_ours_is_to_be_told_and_the_letter_is_drafted(helpers: Client) -> None:
    hold = held(contact__name="Ada Vane")
    address = reverse("hold-release", args=[hold.pk])
    assert "Ours: they are still to be told" in helpers.get(address).text
    assert helpers.post(address, {"reason": "Its maker wants it back", "given_up": ""}).status_code == 302
    assert "to be told" in helpers.get(reverse("today")).text
    page = helpers.get(reverse("hold-tell", args=[hold.pk]) + "?what=ended").text
    assert "Dear Ada Vane," in page
    assert "has ended" in page


def test_a_stranger_releases_nothing(client: Client, profile: ShopProfile) -> None:
    hold = held()
    answer = client.post(reverse("hold-release", args=[hold.pk]), {"reason": "Mine now"})
    assert answer["Location"].startswith("/desk/log-in/")
    assert Hold.objects.get().state == "active"
