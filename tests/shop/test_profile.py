"""The shop's profile: read by every page, changed by the owner, with history."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shop.history.models import Entry
from shop.models import ShopProfile
from tests.factories import HelperFactory, OwnerFactory, ShopFactory

pytestmark = pytest.mark.django_db
MODEL_BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def desk(client: Client) -> Client:
    ShopFactory()
    client.force_login(OwnerFactory(), backend=MODEL_BACKEND)
    return client


def as_typed(**changes: Any) -> dict[str, Any]:
    """What the form sends when nothing but `changes` is touched."""
    shop = ShopProfile.objects.get()
    fields = [field.name for field in ShopProfile._meta.concrete_fields if field.name != "id"]
    return {name: getattr(shop, name) for name in fields} | changes


def test_a_change_is_kept_with_history(desk: Client) -> None:
    desk.post(reverse("profile"), as_typed(hold_hours=72))
    assert ShopProfile.objects.get().hold_hours == 72
    entry = Entry.objects.get(about="shopprofile")
    assert (entry.old, entry.new) == ("48", "72")


@pytest.mark.parametrize(
    ("field", "wrong", "says"),
    [
        ("time_zone", "Middle/Earth", "This is no time zone."),
        ("currency", "ABC", "This is no currency code."),
        ("hold_hours", "0", "greater than or equal to 1"),
        ("email", "nobody", "valid email address"),
    ],
)
def test_nonsense_is_refused_and_comes_back(desk: Client, field: str, wrong: str, says: str) -> None:
    answer = desk.post(reverse("profile"), as_typed(**{field: wrong}, tagline="Typed before the slip"))
    assert says in answer.text
    assert "Typed before the slip" in answer.text
    assert not Entry.objects.exists()


def test_a_helper_cannot_change_it(client: Client) -> None:
    ShopFactory()
    client.force_login(HelperFactory(), backend=MODEL_BACKEND)
    assert client.post(reverse("profile"), as_typed(name="Mine")).status_code == 403
    assert ShopProfile.objects.get().name == "Harrow Lane Strings"


def test_a_shop_that_has_no_profile_yet_still_shows_its_front_page(client: Client) -> None:
    assert client.get("/").status_code == 200
