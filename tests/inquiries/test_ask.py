"""The public ask form: a person is heard once, a robot is thanked and forgotten."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.signing import Signer
from django.http import HttpResponse
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils import timezone

from catalog.models import Instrument
from inquiries.models import Contact, Inquiry, Message
from inquiries.sales.hold_actions import place_hold
from inquiries.threads.forms import SALT, TOO_OLD, TOO_QUICK, seal
from inquiries.threads.views import GONE, MOST, TOO_MANY, client_address
from tests.factories import InquiryFactory, InstrumentFactory, ShopFactory

pytestmark = pytest.mark.django_db
WORDS = "Is the tone ring the first one?"


@pytest.fixture
def instrument(db: None) -> Any:
    ShopFactory()
    return InstrumentFactory(listed=True)


def sealed(instrument: Instrument, *, ago: timedelta = timedelta(seconds=20)) -> str:
    return seal(instrument.stock_id, at=timezone.now() - ago)


def typed(instrument: Instrument, **other: str) -> dict[str, str]:
    return {
        "name": "Ada Quill",
        "email": "ada@post.example",
        "telephone": "+1 555 0131",
        "message": WORDS,
        "website": "",
        "shown": sealed(instrument),
        **other,
    }


def send(client: Client, instrument: Instrument, *, stock: int = 0, **other: str) -> Any:
    address = reverse("ask", args=[stock or instrument.stock_id])
    return client.post(address, typed(instrument, **other))


def assert_kept_on_the_form(answer: Any, sentence: str) -> None:
    """The form is back, says why, shows all that was typed, and nothing was stored."""
    assert answer.status_code == 200
    assert sentence in [str(error) for error in answer.context["form"].non_field_errors()]
    for kept in ("Ada Quill", "ada@post.example", "+1 555 0131", WORDS):
        assert kept in answer.text
    assert not Inquiry.objects.exists()


def test_a_question_lands_in_a_thread_and_is_acknowledged(client: Client, instrument: Instrument) -> None:
    answer = send(client, instrument, name="  Ada \n Quill ")
    assert (answer.status_code, answer["Location"]) == (302, reverse("asked"))
    inquiry = Inquiry.objects.get()
    assert inquiry.instrument == instrument
    contact = inquiry.contact
    assert (contact.name, contact.email, contact.telephone) == (
        "Ada Quill",
        "ada@post.example",
        "+1 555 0131",
    )
    theirs, ours = inquiry.messages.all()
    assert (theirs.body, theirs.ours, theirs.channel) == (WORDS, False, "form")
    assert (ours.automatic, ours.delivery) == (True, "waiting")
    assert "A person reads it" in client.get(answer["Location"]).text


def test_signs_that_are_no_letters_are_left_out(client: Client, instrument: Instrument) -> None:
    send(client, instrument, name="Bo\x01b \u202e\u2066Quill", message="Is it\x07 there?")
    inquiry = Inquiry.objects.get()
    assert inquiry.contact.name == "Bob Quill"
    assert inquiry.messages.get(ours=False).body == "Is it there?"


def test_a_double_press_is_one_question_and_other_words_are_another(
    client: Client, instrument: Instrument
) -> None:
    shown = sealed(instrument)
    for _ in range(2):
        assert send(client, instrument, shown=shown).status_code == 302
    assert Message.objects.filter(ours=False).count() == 1
    send(client, instrument, shown=shown, message="And the case?")
    assert [message.body for message in Message.objects.filter(ours=False)] == [WORDS, "And the case?"]
    assert Message.objects.filter(ours=True).count() == 2


def test_a_failed_deed_does_not_use_up_the_press(
    client: Client, instrument: Instrument, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = sealed(instrument)

    def broken(*args: object, **kwargs: object) -> None:
        raise OSError("the disk is full")

    with monkeypatch.context() as patch:
        patch.setattr("inquiries.threads.views.receive_question", broken)
        with pytest.raises(OSError, match="disk is full"):
            send(client, instrument, shown=shown)
    send(client, instrument, shown=shown)
    assert Message.objects.filter(ours=False).count() == 1


def test_the_listing_page_carries_the_form_and_it_works_from_there(
    client: Client, instrument: Instrument
) -> None:
    page = client.get(instrument.get_absolute_url())
    assert f'action="{reverse("ask", args=[instrument.stock_id])}"' in page.text
    answer = send(client, instrument, email="no address")
    assert answer.status_code == 200
    assert "This does not read as an e-mail address" in answer.text
    assert answer.templates[0].name == "public/ask.html"


def test_the_trap_is_hidden_from_people(client: Client, instrument: Instrument) -> None:
    page = client.get(reverse("ask", args=[instrument.stock_id])).text
    trap = page[page.index('<p class="out-of-sight" aria-hidden="true">') :].partition("</p>")[0]
    assert 'name="website"' in trap
    assert 'autocomplete="off"' in trap
    assert 'tabindex="-1"' in trap


def test_a_robot_in_the_trap_is_thanked_and_forgotten(client: Client, instrument: Instrument) -> None:
    answer = send(client, instrument, website="http://buy.example", shown="")
    assert (answer.status_code, answer["Location"]) == (302, reverse("asked"))
    assert not Inquiry.objects.exists()
    assert not Contact.objects.exists()


def test_too_quick_is_refused_once_and_the_same_form_goes_through_later(
    client: Client, instrument: Instrument
) -> None:
    shown = sealed(instrument, ago=timedelta(seconds=2))
    answer = send(client, instrument, shown=shown)
    assert_kept_on_the_form(answer, TOO_QUICK)
    assert shown in answer.text


@pytest.mark.parametrize("seconds", [3.5, 23.9 * 3600])
def test_between_three_seconds_and_a_day_it_goes_through(
    client: Client, instrument: Instrument, seconds: float
) -> None:
    answer = send(client, instrument, shown=sealed(instrument, ago=timedelta(seconds=seconds)))
    assert answer.status_code == 302


def test_a_page_open_for_more_than_a_day_gets_a_new_seal(client: Client, instrument: Instrument) -> None:
    shown = sealed(instrument, ago=timedelta(hours=24, seconds=1))
    answer = send(client, instrument, shown=shown)
    assert_kept_on_the_form(answer, TOO_OLD)
    assert shown not in answer.text


def test_a_seal_that_is_not_ours_is_refused(client: Client, instrument: Instrument) -> None:
    other = InstrumentFactory(listed=True)
    forged = Signer(key="another key", salt=SALT).sign_object([instrument.stock_id, 1.0])
    for shown in ("", "nonsense", forged, sealed(other), "x" * 500):
        assert_kept_on_the_form(send(client, instrument, shown=shown), TOO_OLD)


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("name", "", "Please tell us your name."),
        ("name", "n" * 121, "at most 120 characters"),
        ("email", "e" * 250 + "@post.example", "at most 254 characters"),
        ("telephone", "5" * 41, "at most 40 characters"),
        ("message", "m" * 4001, "at most 4000 characters"),
        ("message", "", "Please write what you would like to know."),
    ],
)
def test_every_field_has_its_cap_and_what_was_typed_comes_back(
    client: Client, instrument: Instrument, field: str, value: str, said: str
) -> None:
    answer = send(client, instrument, **{field: value})
    assert said in str(answer.context["form"].errors[field])
    assert value in answer.text
    assert not Inquiry.objects.exists()


def test_the_ninth_question_of_an_hour_from_one_address_waits(
    client: Client, instrument: Instrument, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = timezone.now().replace(minute=10)
    monkeypatch.setattr("inquiries.threads.views.timezone.now", lambda: now)
    shown = seal(instrument.stock_id, at=now - timedelta(minutes=1))
    for number in range(MOST):
        assert send(client, instrument, shown=shown, message=f"{number}").status_code == 302
    before = Message.objects.count()
    answer = send(client, instrument, shown=shown)
    assert TOO_MANY in answer.context["form"].non_field_errors()
    assert WORDS in answer.text
    assert Message.objects.count() == before
    elsewhere = Client(REMOTE_ADDR="203.0.113.9")
    assert send(elsewhere, instrument, shown=shown).status_code == 302


def test_a_piece_sold_meanwhile_keeps_what_was_typed(client: Client, instrument: Instrument) -> None:
    shown = sealed(instrument)
    Instrument.objects.filter(pk=instrument.pk).update(state="sold", sold_at=timezone.now())
    assert_kept_on_the_form(send(client, instrument, shown=shown), GONE)


def test_the_form_of_a_sold_piece_leads_to_its_page(client: Client, instrument: Instrument) -> None:
    Instrument.objects.filter(pk=instrument.pk).update(state="sold", sold_at=timezone.now())
    answer: HttpResponse = client.get(reverse("ask", args=[instrument.stock_id]))
    assert (answer.status_code, answer["Location"]) == (302, instrument.get_absolute_url())


def test_a_held_piece_offers_the_next_place(client: Client, instrument: Instrument) -> None:
    place_hold(instrument, InquiryFactory(instrument=instrument), by=None, at=timezone.now())
    assert "Ask, or ask to be next" in client.get(reverse("ask", args=[instrument.stock_id])).text


@pytest.mark.parametrize(
    ("said", "heard"),
    [
        ({}, True),  # an old browser, or a careful one
        ({"Sec-Fetch-Site": "same-origin", "Origin": "null"}, True),
        ({"Sec-Fetch-Site": "none"}, True),
        ({"Sec-Fetch-Site": "cross-site"}, False),
        ({"Sec-Fetch-Site": "same-site", "Origin": "http://testserver"}, False),
        ({"Origin": "http://testserver"}, True),
        ({"Origin": "https://elsewhere.example"}, False),
        ({"Origin": "http://testserver.elsewhere.example"}, False),
        ({"Origin": "http://testserver:8080"}, False),
        ({"Origin": "null"}, False),
        ({"Referer": "http://testserver/instruments/"}, True),
        ({"Referer": "https://elsewhere.example/?http://testserver/"}, False),
    ],
)
def test_a_form_is_heard_from_our_own_pages_alone(
    instrument: Instrument, said: dict[str, str], heard: bool
) -> None:
    strict = Client(enforce_csrf_checks=True, headers=said)
    answer = send(strict, instrument)
    assert answer.status_code == (302 if heard else 403)
    assert Inquiry.objects.exists() == heard
    if not heard:
        assert "sent from a page that is not ours" in answer.text
    assert not answer.cookies


@pytest.mark.parametrize(
    ("behind_proxy", "forwarded", "expected"),
    [
        (False, "198.51.100.7", "192.0.2.1"),
        (True, "198.51.100.7, 203.0.113.5", "203.0.113.5"),
        (True, "203.0.113.5", "203.0.113.5"),
        (True, "", "192.0.2.1"),
    ],
)
def test_the_address_is_the_one_that_cannot_be_made_up(
    settings: Any, behind_proxy: bool, forwarded: str, expected: str
) -> None:
    settings.BEHIND_PROXY = behind_proxy
    headers = {"X-Forwarded-For": forwarded} if forwarded else {}
    request = RequestFactory().post("/", headers=headers, REMOTE_ADDR="192.0.2.1")
    assert client_address(request) == expected
