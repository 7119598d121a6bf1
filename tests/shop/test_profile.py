"""The shop's profile at the desk: each of its fields has a place on the page, each change a history row."""

import pytest
from django.test import Client

from shop.history.queries import history_of
from shop.models import ShopProfile
from shop.profile.forms import ProfileForm
from tests.factories import OwnerFactory, ShopFactory

pytestmark = pytest.mark.django_db


def test_every_field_stands_in_exactly_one_part() -> None:
    # A field without a place would be sent empty, and empty the profile.
    form = ProfileForm()
    placed = [field.name for _, fields in form.parts() for field in fields]
    assert sorted(placed) == sorted(form.fields)


def test_saving_the_page_as_it_stands_but_for_one_field_changes_that_field_alone(client: Client) -> None:
    ShopFactory()
    owner = OwnerFactory()
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    form = client.get("/desk/shop/").context["form"]
    shown = {field.name: field.value() for _, fields in form.parts() for field in fields}
    answer = client.post("/desk/shop/", shown | {"standing_days": 72})
    assert answer.status_code == 302
    profile = ShopProfile.objects.get()
    assert profile.standing_days == 72
    rows = [(entry.field, entry.old, entry.new, entry.by) for entry in history_of(profile)]
    assert rows == [("standing too long after, in days", "180", "72", owner)]


@pytest.mark.parametrize(("typed", "kept"), [("de", "DE"), ("US", "US"), ("D1", None), ("", None)])
def test_a_country_is_two_letters_in_capitals(client: Client, typed: str, kept: str | None) -> None:
    ShopFactory()
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    form = client.get("/desk/shop/").context["form"]
    shown = {field.name: field.value() for _, fields in form.parts() for field in fields}
    answer = client.post("/desk/shop/", shown | {"country": typed})
    assert answer.status_code == (302 if kept else 200)
    assert ShopProfile.objects.get().country == (kept or "US")


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("kwd", ""),
        ("QQQ", "“QQQ” is no currency code. Write one such as USD."),
        (
            "CLF",
            "“CLF” has four decimals, and amounts are kept here with up to three. Write one such as USD.",
        ),
        ("XAU", "“XAU” is a metal or a unit of account, not money that can be paid. Write one such as USD."),
    ],
)
def test_the_currency_is_one_in_which_a_ledger_can_be_kept(client: Client, typed: str, why: str) -> None:
    ShopFactory()
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    form = client.get("/desk/shop/").context["form"]
    shown = {field.name: field.value() for _, fields in form.parts() for field in fields}
    answer = client.post("/desk/shop/", shown | {"currency": typed})
    assert ShopProfile.objects.get().currency == ("USD" if why else typed.upper())
    assert (why in answer.text) if why else answer.status_code == 302
