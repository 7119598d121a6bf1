"""Wishes and first calls at the desk: taken down, listed, called, answered, published all the same."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import Instrument
from inquiries.models import Call, FirstCall, Message, Want
from inquiries.review.due import due_today
from shop.models import ShopProfile, User
from tests.factories import NOON, ContactFactory, InstrumentFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.wants.conftest import LETTER, ready_piece, seek

pytestmark = pytest.mark.django_db
OPENED = {"hours": "24", "one_at_a_time": "yes", "letter": LETTER}


def test_a_wish_is_taken_down_for_a_caller_and_counts_at_once(helpers: Client) -> None:
    piece = InstrumentFactory()
    given = {
        "name": "Ruth Amble",
        "telephone": "+1 802 555 0143",
        "sought": "The same again",
        "model": str(piece.model_id),
        "price_up_to": "20000",
    }
    for _ in range(2):
        assert helpers.post(reverse("want-new"), given)["Location"] == reverse("wants")
    want = Want.objects.get()
    assert (want.source, want.model, want.maker) == ("desk", piece.model, piece.maker)
    page = helpers.get(reverse("wants")).text
    assert f"{piece.model}<br>up to $20,000" in page.replace("&amp;", "&").replace("\n", "")
    assert "not confirmed yet" not in page
    assert "Ruth Amble" in helpers.get(reverse("first-call", args=[piece.stock_id])).text


def test_a_wish_is_taken_down_from_a_persons_page(helpers: Client) -> None:
    contact = ContactFactory()
    path = f"{reverse('want-new')}?person={contact.pk}"
    assert path in helpers.get(reverse("contact", args=[contact.pk])).text
    assert 'name="telephone"' not in helpers.get(path).text
    answer = helpers.post(path, {"sought": "A bass", "made_from": "1920"})
    assert answer["Location"] == reverse("contact", args=[contact.pk])
    page = helpers.get(answer["Location"]).text
    assert "A bass" in page
    assert "made 1920 and after" in page


def test_a_model_of_another_maker_is_refused(helpers: Client) -> None:
    one, other = InstrumentFactory(), InstrumentFactory()
    given = {"name": "R", "telephone": "1", "sought": "x", "model": one.model_id, "maker": other.maker_id}
    answer = helpers.post(reverse("want-new"), {key: str(value) for key, value in given.items()})
    assert "another maker’s model" in answer.text
    assert not Want.objects.exists()


def test_the_list_says_which_wishes_are_not_compared(helpers: Client, profile: ShopProfile) -> None:
    Want.objects.create(contact=ContactFactory(), sought="A tenor", asked_at=NOON)
    seek(unsubscribed_at=NOON)
    seek(until=(NOON - timedelta(days=1)).date())
    page = helpers.get(reverse("wants")).text
    assert "not confirmed yet, so not compared" in page
    assert "wishes no mail about it" in page
    assert "its last day has gone by" in page


def test_a_first_call_from_the_record_to_the_street(helpers: Client, clock: Clock, helper: User) -> None:
    ready = ready_piece()
    ruth = seek(9, name="Ruth Amble", kind=ready.kind, made_from=1925)
    cole = seek(8, name="Cole Withers")
    for page in ("record", "publish", "first-call"):
        text = helpers.get(reverse(page, args=[ready.stock_id])).text
        assert text.index("Ruth Amble") < text.index("Cole Withers"), page
        assert "Made c. 1931, within 1925 and after." in text, page
    (line,) = next(part for part in due_today(user=helper, at=NOON) if part.slug == "drafts").items
    assert line.note.startswith("Nothing is missing. Ruth Amble seeks such a piece. It is of the kind sought")
    path = reverse("first-call", args=[ready.stock_id])
    page = helpers.get(path)
    assert page.context["form"].initial["hours"] == 24
    assert f"our no. {ready.stock_id}" in page.context["form"].initial["letter"]
    assert "The price is $12,500" in page.context["form"].initial["letter"]
    assert helpers.post(path, OPENED)["Location"] == path
    first = FirstCall.objects.get()
    told, waits = first.calls.order_by("position")
    assert (told.want, waits.want) == (ruth, cole)
    assert "until Thu 11 Jun 2026" in helpers.get(path).text
    publish = reverse("publish", args=[ready.stock_id])
    assert "Ruth Amble has time until" in helpers.get(publish).text
    refused = helpers.post(publish)
    assert "To publish it all the same, say why." in refused.text
    assert Instrument.objects.get(pk=ready.pk).state == "draft"
    helpers.post(reverse("call-said", args=[told.pk]), {"said": "no"})
    (line,) = next(part for part in due_today(user=helper, at=NOON) if part.slug == "first-calls").items
    assert (line.deed, line.href) == ("Write to Cole Withers", reverse("call-tell", args=[waits.pk]))
    assert "Dear {name}" in helpers.get(line.href).text
    assert helpers.post(line.href, {"letter": LETTER})["Location"] == path
    helpers.post(line.href, {"letter": LETTER})
    assert Message.objects.filter(inquiry__contact=cole.contact).count() == 1
    clock.on(hours=1)
    helpers.post(reverse("call-said", args=[waits.pk]), {"said": "yes"})
    person = helpers.get(reverse("contact", args=[cole.contact_id])).text
    assert "wants it, told" in person
    helpers.post(publish, {"all_the_same": "He asked us to."})
    assert Instrument.objects.get(pk=ready.pk).state == "listed"
    record = helpers.get(reverse("record", args=[ready.stock_id])).text
    assert "Who heard of it first" in record
    assert "wants it" in record


def test_a_letter_that_is_stopped_comes_back_as_typed(helpers: Client) -> None:
    ready = ready_piece(floor_price=9150)
    seek(9)
    path = reverse("first-call", args=[ready.stock_id])
    answer = helpers.post(path, {**OPENED, "letter": "Dear {name}, you may have it for $9,150."})
    assert answer.status_code == 200
    assert "you may have it for $9,150." in answer.text
    assert answer.context["form"].errors["letter"]
    assert not FirstCall.objects.exists()


def test_who_is_passed_over_and_who_is_told_otherwise(helpers: Client) -> None:
    ready = ready_piece()
    seek(9)
    seek(8, email="")
    path = reverse("first-call", args=[ready.stock_id])
    helpers.post(path, {**OPENED, "one_at_a_time": "no"})
    told, waits = Call.objects.order_by("position")
    assert "They have left no e-mail address." in helpers.get(path).text
    assert (
        helpers.post(reverse("call-pass", args=[told.pk]), follow=True).text.count("has been told meanwhile")
        == 1
    )
    helpers.post(reverse("call-told", args=[waits.pk]))
    waits.refresh_from_db()
    assert (waits.said, waits.message) == ("nothing", None)
    helpers.post(reverse("first-call-end", args=[waits.first_call_id]))
    assert FirstCall.objects.get().ended_at == NOON


def test_a_call_of_nobody_known_is_not_there(helpers: Client) -> None:
    for name in ("call-tell", "call-told", "call-said", "call-pass"):
        assert helpers.post(reverse(name, args=[99])).status_code == 404


def test_the_pages_cost_as_many_queries_for_many_as_for_one(helpers: Client) -> None:
    ready = ready_piece()
    seek(9, kind=ready.kind)
    paths = [reverse("wants"), reverse("first-call", args=[ready.stock_id])]
    for path in paths:
        helpers.get(path)
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as seen:
            for path in paths:
                helpers.get(path)
        counts.append(len(seen))
        for days in range(5):
            seek(days, kind=ready.kind, maker=ready.maker, configuration=ready.configuration_now)
    assert counts[0] == counts[1]
