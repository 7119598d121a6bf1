"""A wish: remembered from the catalogue, listed at the desk, laid aside when it is done."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inquiries.models import Contact, Want
from inquiries.threads.forms import TOO_OLD, TOO_QUICK, seal
from inquiries.wants.forms import NOTHING_YET
from inquiries.wants.views import MOST, TOO_MANY
from shop.history.models import Entry
from shop.models import User
from tests.factories import NOON, ContactFactory, InstrumentFactory, OwnerFactory, ShopFactory

pytestmark = pytest.mark.django_db
SOUGHT = "Kind: Banjos; a price up to 100 USD"
CHOICES = "kind=banjo&price_to=100"


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    ShopFactory()


@pytest.fixture
def desk() -> Client:
    client = Client()
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def sealed(*, ago: timedelta = timedelta(seconds=20)) -> str:
    return seal(NOTHING_YET, at=timezone.now() - ago)


def wish(client: Client, **other: str) -> Any:
    typed = {
        "name": "Ada Quill",
        "email": "ada@post.example",
        "sought": SOUGHT,
        "narrowing": CHOICES,
        "website": "",
        "shown": sealed(),
        **other,
    }
    return client.post(reverse("want"), typed)


def test_a_catalogue_that_finds_nothing_offers_to_remember_the_wish(client: Client) -> None:
    InstrumentFactory(listed=True)
    page = client.get(f"/instruments/?{CHOICES}")
    assert f">\n{SOUGHT}</textarea>" in page.text
    assert f'action="{reverse("want")}"' in page.text
    assert 'name="narrowing" value="kind=banjo&amp;price_to=100"' in page.text
    assert reverse("want") not in client.get("/instruments/?kind=banjo").text


def test_a_wish_is_kept_under_a_contact(client: Client) -> None:
    answer = wish(client, name="  Ada \n Quill ")
    assert (answer.status_code, answer["Location"]) == (302, reverse("want-kept"))
    kept = Want.objects.get()
    assert (kept.contact.name, kept.contact.email) == ("Ada Quill", "ada@post.example")
    assert (kept.sought, kept.narrowing, kept.done_at) == (SOUGHT, CHOICES, None)
    assert Entry.objects.filter(about="contact", about_id=kept.contact_id, verb="seeks").count() == 1
    assert "written down" in client.get(answer["Location"]).text


def test_somebody_who_is_known_is_found_again_and_a_second_press_is_the_first(client: Client) -> None:
    known = ContactFactory(email="Ada@post.example")
    wish(client)
    wish(client)
    wish(client, sought="A left-handed mandolin")
    assert list(Contact.objects.all()) == [known]
    assert sorted(known.wants.values_list("sought", flat=True)) == ["A left-handed mandolin", SOUGHT]


@pytest.mark.parametrize(
    ("changed", "field", "says"),
    [
        ({"name": ""}, "name", "Please tell us your name."),
        ({"email": "ada"}, "email", "spelling"),
        ({"sought": " "}, "sought", "Please write what you seek."),
        ({"shown": "nothing of ours"}, "__all__", TOO_OLD),
        ({"shown": sealed(ago=timedelta(days=2))}, "__all__", TOO_OLD),
        ({"shown": sealed(ago=timedelta(seconds=1))}, "__all__", TOO_QUICK),
    ],
    ids=["name", "e-mail", "nothing sought", "no seal", "too old", "too quick"],
)
def test_what_cannot_be_kept_says_why_and_loses_nothing(
    client: Client, changed: dict[str, str], field: str, says: str
) -> None:
    if says == TOO_QUICK:
        changed = {"shown": sealed(ago=timedelta(seconds=0))}
    answer = wish(client, **changed)
    assert answer.status_code == 200
    assert str(says) in " ".join(answer.context["form"].errors[field])
    assert "ada" in answer.text
    assert 'value="kind=banjo&amp;price_to=100"' in answer.text
    assert not Want.objects.exists()


def test_a_robot_is_thanked_and_forgotten(client: Client) -> None:
    assert wish(client, website="https://robot.example").status_code == 302
    assert not Want.objects.exists()
    assert not Contact.objects.exists()


def test_many_wishes_from_one_connection_are_too_many(client: Client) -> None:
    for number in range(MOST):
        assert wish(client, sought=f"Wish {number}").status_code == 302
    answer = wish(client, sought="One more")
    assert TOO_MANY in answer.context["form"].non_field_errors()
    assert Want.objects.count() == MOST


def test_the_desk_lists_what_people_seek_and_lays_it_aside(desk: Client) -> None:
    contact = ContactFactory()
    older = Want.objects.create(contact=contact, sought="An older wish", asked_at=NOON - timedelta(days=3))
    newer = Want.objects.create(contact=contact, sought="A newer one", narrowing=CHOICES, asked_at=NOON)
    page = desk.get(reverse("wants"))
    assert list(page.context["page_obj"]) == [newer, older]
    assert 'href="/instruments/?kind=banjo&amp;price_to=100"' in page.text
    for _ in range(2):
        answer = desk.post(reverse("want-done", args=[older.pk]))
        assert answer["Location"] == reverse("wants")
    assert list(desk.get(reverse("wants")).context["page_obj"]) == [newer]
    assert Entry.objects.filter(about="contact", verb="seeks no longer").count() == 1


def test_a_person_shows_what_they_seek(desk: Client) -> None:
    want = Want.objects.create(contact=ContactFactory(), sought="A tenor", asked_at=NOON)
    address = reverse("contact", args=[want.contact_id])
    assert "A tenor" in desk.get(address).text
    answer = desk.post(reverse("want-done", args=[want.pk]), {"from-person": "yes"})
    assert answer["Location"] == address
    assert reverse("want-done", args=[want.pk]) not in desk.get(address).text


def test_today_leads_to_the_wishes_with_their_number(desk: Client) -> None:
    Want.objects.create(contact=ContactFactory(), sought="A tenor", asked_at=NOON)
    Want.objects.create(contact=ContactFactory(), sought="A bass", asked_at=NOON, done_at=NOON)
    page = desk.get(reverse("today"))
    assert page.context["wants"] == 1
    assert f'href="{reverse("wants")}"' in page.text


def test_the_list_costs_the_same_number_of_queries_however_long(desk: Client) -> None:
    counts = []
    for _ in range(2):
        for _ in range(20):
            Want.objects.create(contact=ContactFactory(), sought="A tenor", asked_at=NOON)
        with CaptureQueriesContext(connection) as seen:
            desk.get(reverse("wants"))
        counts.append(len(seen))
    assert counts[0] == counts[1]
    assert User.objects.count() == 1
