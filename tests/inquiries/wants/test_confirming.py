"""A wish from the site: what it states, confirmed by a press, cleared when nobody does, its mail ended by a press."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from catalog.models import Kind
from inquiries.models import Contact, Inquiry, Message, Want
from inquiries.threads.actions import receive_question
from inquiries.threads.forms import seal
from inquiries.wants.actions import (
    DAYS_TO_CONFIRM,
    MOST_LETTERS,
    clear_unconfirmed,
    confirm_want,
    remember_want,
    unsubscribe,
)
from inquiries.wants.forms import NOTHING_YET
from inquiries.wants.links import CONFIRM, UNSUBSCRIBE, Links, token_for, unsubscribe_headers, want_of
from inquiries.wants.prefill import stated_by
from inquiries.wants.queries import seekers_for
from shop.models import ShopProfile
from tests.factories import NOON, ContactFactory, InstrumentFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.wants.conftest import LINKS

pytestmark = pytest.mark.django_db
ONE_CLICK = "List-Unsubscribe=One-Click"
FORM = "application/x-www-form-urlencoded"


@pytest.fixture(autouse=True)
def shop(profile: ShopProfile, clock: Clock) -> None:
    """The shop, and noon."""


def remembered(email: str = "ada@post.example", **other: Any) -> Want:
    given = {"name": "Ada Quill", "sought": "A tenor", "links": LINKS, "at": NOON, **other}
    return remember_want(email=email, **given)


def wish(client: Client, path: str = "/wanted/", **other: str) -> Any:
    typed = {"name": "Ada Quill", "email": "ada@post.example", "sought": "A tenor banjo", "narrowing": ""}
    sealed = seal(NOTHING_YET, at=NOON - timedelta(seconds=20))
    return client.post(path, {**typed, "website": "", "shown": sealed, **other})


def test_everything_that_is_stated_is_kept(client: Client) -> None:
    piece = InstrumentFactory(listed=True)
    configuration = piece.kind.configurations.get(slug="tenor")
    stated = {"kind": piece.kind_id, "maker": piece.maker_id, "configuration": configuration.pk}
    more = {"made_from": "1925", "made_to": "1935", "word_at_least": "refinished", "price_up_to": "5000.50"}
    given = {name: str(value) for name, value in {**stated, **more, "until": "2027-01-31"}.items()}
    assert wish(client, whole="yes", **given).status_code == 302
    kept = Want.objects.get()
    assert (kept.kind, kept.maker, kept.configuration) == (piece.kind, piece.maker, configuration)
    assert (kept.made_from, kept.made_to, kept.word_at_least) == (1925, 1935, "refinished")
    assert (kept.price_up_to, kept.until) == (Decimal("5000.50"), date(2027, 1, 31))
    assert (kept.source, kept.confirmed_at) == ("form", None)


@pytest.mark.parametrize(
    ("given", "field", "says"),
    [
        ({"made_from": "1935", "made_to": "1925"}, "made_to", "before the other year"),
        ({"made_from": "soon"}, "made_from", "whole number"),
        ({"until": "2026-06-09"}, "until", "gone by"),
        ({"price_up_to": "-1"}, "price_up_to", "greater than or equal to 0"),
        ({"word_at_least": "splendid"}, "word_at_least", "splendid"),
    ],
)
def test_what_cannot_be_meant_says_why_and_loses_nothing(
    client: Client, given: dict[str, str], field: str, says: str
) -> None:
    answer = wish(client, whole="yes", **given)
    assert answer.status_code == 200
    assert says in " ".join(answer.context["form"].errors[field])
    assert "A tenor banjo" in answer.text
    assert not Want.objects.exists()


def test_a_configuration_of_another_kind_is_refused(client: Client) -> None:
    banjo = Kind.objects.get(slug="banjo")
    other = Kind.objects.exclude(pk=banjo.pk)[0]
    tenor = banjo.configurations.get(slug="tenor")
    answer = wish(client, whole="yes", kind=str(other.pk), configuration=str(tenor.pk))
    assert "another kind" in str(answer.context["form"].errors["configuration"])


def test_a_maker_of_whom_nothing_is_public_is_not_offered(client: Client) -> None:
    draft, public = InstrumentFactory(), InstrumentFactory(sold=True)
    page = client.get("/wanted/").text
    assert public.maker.name.replace("&", "&amp;") in page
    assert draft.maker.name.replace("&", "&amp;") not in page
    answer = wish(client, whole="yes", maker=str(draft.maker_id))
    assert "maker" in answer.context["form"].errors


def test_the_choices_of_the_catalogue_are_filled_in_and_stand_for_the_short_form(client: Client) -> None:
    piece = InstrumentFactory(listed=True)
    slug = piece.maker.slug
    choices = (
        f"kind=banjo&maker={slug}&configuration=banjo.tenor&decade=1930&originality=refinished&price_to=100"
    )
    expected = {
        "kind": piece.kind,
        "maker": piece.maker,
        "configuration": piece.kind.configurations.get(slug="tenor"),
        "made_from": 1930,
        "made_to": 1939,
        "word_at_least": "refinished",
        "price_up_to": Decimal("100.00"),
    }
    assert stated_by(choices) == expected
    form = client.get(f"/wanted/?{choices}").context["form"]
    shown = {name: getattr(value, "pk", value) for name, value in expected.items()}
    assert {name: form[name].value() for name in expected} == shown
    wish(client, narrowing=choices)
    kept = Want.objects.get()
    assert {name: getattr(kept, name) for name in expected} == expected


@pytest.mark.parametrize(
    "choices",
    [
        "",
        "kind=x",
        "kind=%00",
        "maker=%00&configuration=a.b",
        "decade=12e4",
        "price_to=NaN",
        "price_to=1e99",
        "%",
    ],
)
def test_choices_that_mean_nothing_are_left_open(client: Client, choices: str) -> None:
    assert stated_by(choices) == {}
    assert client.get(f"/wanted/?{choices}").status_code == 200


def test_the_page_speaks_german(client: Client) -> None:
    page = client.get("/de/wanted/?kind=banjo").text
    assert 'lang="de"' in page
    answer = wish(client, "/de/wanted/")
    assert answer["Location"] == "/de/wanted/thanks/"
    assert "/de/wanted/confirm/" in Message.objects.get().body


def test_the_address_is_asked_to_confirm_with_no_word_of_a_strangers() -> None:
    want = remembered(name="BUY NOW", sought="http://bad.example")
    message = Message.objects.get()
    assert LINKS.confirm(want.pk) in message.body
    assert "BUY NOW" not in message.wire.replace("\r\n", "")
    assert "bad.example" not in message.wire
    headings = message.wire.partition("\r\n\r\n")[0].split("\r\n")
    assert f"List-Unsubscribe: <{LINKS.unsubscribe(want.pk)}>" in headings
    assert "List-Unsubscribe-Post: List-Unsubscribe=One-Click" in headings
    assert "Auto-Submitted: auto-replied" in headings
    assert message.inquiry.done_at == NOON  # nothing in it is ours to answer


def test_one_address_is_not_asked_again_and_again() -> None:
    for number in range(MOST_LETTERS + 2):
        remembered(sought=f"Wish {number}")
    assert Message.objects.count() == MOST_LETTERS
    assert Inquiry.objects.count() == 1


def test_opening_the_link_confirms_nothing_and_a_press_does(client: Client) -> None:
    want, piece = remembered(), InstrumentFactory()
    path = LINKS.confirm(want.pk).removeprefix("https://shop.example")
    page = client.get(path)
    assert (page.status_code, page["Cache-Control"].count("no-store")) == (200, 1)
    assert "Did you ask us on 10 June 2026" in page.text
    assert "A tenor" not in page.text  # whoever else comes to the address learns nothing of the wish
    client.head(path)
    assert seekers_for(piece, at=NOON) == []
    for _ in range(2):
        assert client.post(path).status_code == 200
    want.refresh_from_db()
    assert want.confirmed_at == NOON
    assert [seeker.want for seeker in seekers_for(piece, at=NOON)] == [want]


def test_a_press_from_a_page_elsewhere_confirms_nothing(client: Client) -> None:
    want = remembered()
    path = LINKS.confirm(want.pk).removeprefix("https://shop.example")
    assert client.post(path, headers={"Sec-Fetch-Site": "cross-site"}).status_code == 403
    want.refresh_from_db()
    assert want.confirmed_at is None


@pytest.mark.parametrize("name", ["want-confirm", "want-unsubscribe"])
def test_an_address_that_we_did_not_make_leads_nowhere(client: Client, name: str) -> None:
    want = remembered()
    right = {"want-confirm": CONFIRM, "want-unsubscribe": UNSUBSCRIBE}
    wrong = next(what for key, what in right.items() if key != name)
    for token in (token_for(want.pk, wrong), f"{want.pk}~x", str(want.pk), "~"):
        assert client.get(reverse(name, args=[token])).status_code == 404
        assert client.post(reverse(name, args=[token]), {"List-Unsubscribe": "One-Click"}).status_code == 404
    want.refresh_from_db()
    assert (want.confirmed_at, want.unsubscribed_at) == (None, None)


def test_a_token_made_with_the_last_key_is_still_good(settings: Any) -> None:
    token = token_for(7, CONFIRM)
    settings.SECRET_KEY_FALLBACKS, settings.SECRET_KEY = [settings.SECRET_KEY], "another key, made today"
    assert want_of(token, CONFIRM) == 7


def test_one_click_needs_no_cookie_no_origin_and_no_token_and_get_ends_nothing() -> None:
    want = remembered()
    path = LINKS.unsubscribe(want.pk).removeprefix("https://shop.example")
    client = Client(enforce_csrf_checks=True)
    page = client.get(path)
    assert 'name="List-Unsubscribe" value="One-Click"' in page.text
    want.refresh_from_db()
    assert want.unsubscribed_at is None
    answer = Client(enforce_csrf_checks=True).post(path, ONE_CLICK, content_type=FORM)
    assert (answer.status_code, answer.cookies) == (200, {})
    want.refresh_from_db()
    assert want.unsubscribed_at == NOON


@pytest.mark.parametrize(
    "headers",
    [{"Origin": "https://mail.example"}, {"Sec-Fetch-Site": "cross-site"}, {"Origin": "null"}],
    ids=["another origin", "another site", "no origin"],
)
def test_one_click_is_heard_from_anywhere(headers: dict[str, str]) -> None:
    """RFC 8058, section 3.2: the request comes from the receiver of the mail, and may be multipart as well."""
    want = remembered()
    path = LINKS.unsubscribe(want.pk).removeprefix("https://shop.example")
    client = Client(enforce_csrf_checks=True)
    assert client.post(path, {"List-Unsubscribe": "One-Click"}, headers=headers).status_code == 200
    want.refresh_from_db()
    assert want.unsubscribed_at == NOON


@pytest.mark.parametrize("body", ["", "List-Unsubscribe=Two-Click", "x=One-Click"])
def test_without_its_words_nothing_is_ended(body: str, client: Client) -> None:
    want = remembered()
    path = LINKS.unsubscribe(want.pk).removeprefix("https://shop.example")
    assert client.post(path, body, content_type=FORM).status_code == 400
    want.refresh_from_db()
    assert want.unsubscribed_at is None


def test_a_shop_without_https_names_the_address_alone() -> None:
    """RFC 8058, section 3.1: the one-click heading stands beside an https address only."""
    assert unsubscribe_headers("http://127.0.0.1/x/") == {"List-Unsubscribe": "<http://127.0.0.1/x/>"}
    assert settings.ALLOWED_HOSTS  # whole addresses are made of a host that is allowed


def test_a_wish_whose_mail_was_ended_can_be_made_anew() -> None:
    first = remembered()
    unsubscribe(first, at=NOON)
    second = remembered()
    assert second != first
    assert remembered() == second


def test_a_wish_that_nobody_confirms_is_cleared_with_the_person_it_brought() -> None:
    remembered()
    kept = remembered("ruth@post.example", name="Ruth")
    confirm_want(kept, at=NOON)
    known = remembered("cole@post.example", name="Cole")
    piece = InstrumentFactory(listed=True)
    receive_question(piece, name="Cole", email="cole@post.example", telephone="", text="?", at=NOON)
    taken_down = Want.objects.create(contact=ContactFactory(), sought="x", asked_at=NOON, source="desk")
    over = NOON + timedelta(days=DAYS_TO_CONFIRM)
    assert clear_unconfirmed(over - timedelta(seconds=1)) == 0
    assert clear_unconfirmed(over) == 2
    assert set(Want.objects.all()) == {kept, taken_down}
    assert not Contact.objects.filter(email="ada@post.example").exists()
    assert Contact.objects.filter(pk=known.contact_id).exists()
    assert clear_unconfirmed(over) == 0


def test_links_are_in_the_language_of_the_wish() -> None:
    links = Links("https://shop.example{}".format, "de")
    assert links.confirm(1).startswith("https://shop.example/de/wanted/confirm/")
