"""Who may come in, and who works here."""

import pytest
from django.contrib.auth.hashers import identify_hasher
from django.test import Client
from django.urls import reverse

from shop.history.models import Entry
from shop.models import User
from tests.factories import PASSWORD, HelperFactory, OwnerFactory, ShopFactory

pytestmark = pytest.mark.django_db
MOST_TRIES = 6


@pytest.fixture
def ada() -> User:
    ShopFactory()
    made: User = OwnerFactory(username="ada")
    return made


@pytest.fixture
def desk(client: Client, ada: User) -> Client:
    client.force_login(ada, backend="django.contrib.auth.backends.ModelBackend")
    return client


def try_password(client: Client, password: str, username: str = "ada") -> int:
    return client.post(reverse("log-in"), {"username": username, "password": password}).status_code


def test_the_right_password_leads_to_today(client: Client, ada: User) -> None:
    answer = client.post(reverse("log-in"), {"username": "ada", "password": PASSWORD})
    assert answer["Location"] == reverse("today")


def test_a_wrong_password_brings_the_name_back_and_lets_nobody_in(client: Client, ada: User) -> None:
    answer = client.post(reverse("log-in"), {"username": "ada", "password": "wrong"})
    assert 'value="ada"' in answer.text
    assert "do not belong together" in answer.text
    assert client.get(reverse("today")).status_code == 302


def test_passwords_are_kept_with_argon2(ada: User) -> None:
    assert identify_hasher(ada.password).algorithm == "argon2"


def test_after_too_many_tries_even_the_right_password_waits(client: Client, ada: User) -> None:
    for _ in range(MOST_TRIES):
        try_password(client, "wrong")
    answer = client.post(reverse("log-in"), {"username": "ada", "password": PASSWORD})
    assert answer.status_code == 429
    assert "Wait fifteen minutes" in answer.text
    assert client.get(reverse("today")).status_code == 302


def test_the_throttle_on_one_name_leaves_the_others_alone(client: Client, ada: User) -> None:
    HelperFactory(username="nell")
    for _ in range(MOST_TRIES):
        try_password(client, "wrong")
    assert try_password(client, PASSWORD, username="nell") == 302


def test_logging_out_needs_a_press(desk: Client) -> None:
    assert desk.get(reverse("log-out")).status_code == 405
    desk.post(reverse("log-out"))
    assert desk.get(reverse("today")).status_code == 302


def test_the_owner_gives_a_helper_a_log_in(desk: Client, client: Client) -> None:
    given = {"username": "nell", "first_name": "Nell", "last_name": "Tarrow", "email": "", "role": "helper"}
    desk.post(reverse("staff-new"), given | {"password1": PASSWORD, "password2": PASSWORD})
    nell = User.objects.get(username="nell")
    assert (nell.role, nell.check_password(PASSWORD)) == (User.Role.HELPER, True)
    assert Entry.objects.filter(about="user", about_id=nell.pk, verb="added").exists()


def test_a_short_password_is_refused_and_what_was_typed_comes_back(desk: Client) -> None:
    given = {"username": "nell", "first_name": "Nell", "last_name": "Tarrow", "email": "", "role": "helper"}
    answer = desk.post(reverse("staff-new"), given | {"password1": "short", "password2": "short"})
    assert "at least 12 characters" in answer.text
    assert 'value="Tarrow"' in answer.text
    assert not User.objects.filter(username="nell").exists()


def test_the_last_owner_cannot_lock_the_desk(desk: Client, ada: User) -> None:
    given = {"first_name": "Ada", "last_name": "Quill", "email": "", "role": "helper", "is_active": "on"}
    answer = desk.post(reverse("staff-member", args=["ada"]), given)
    assert "needs one owner" in answer.text
    ada.refresh_from_db()
    assert ada.role == User.Role.OWNER


def test_a_change_of_role_leaves_history(desk: Client, ada: User) -> None:
    HelperFactory(username="nell")
    given = {"first_name": "Nell", "last_name": "Tarrow", "email": "", "role": "owner", "is_active": "on"}
    desk.post(reverse("staff-member", args=["nell"]), given)
    entry = Entry.objects.get(about="user", field="role")
    assert (entry.old, entry.new, entry.by) == ("helper", "owner", ada)
