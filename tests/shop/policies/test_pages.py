"""House policies: dated rows that the owner adds, side by side, and which of them is in force."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from shop.facts import FactIsFixed
from shop.history.queries import history_of
from shop.models import HousePolicy, ShopProfile
from shop.policies.actions import add_policy
from shop.policies.forms import TERMS, PolicyForm
from shop.policies.queries import policy_at, policy_on
from shop.policies.shown import said, side_by_side
from shop.refusal import Refused
from tests.factories import NOON, HelperFactory, OwnerFactory, ShopFactory

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"
TODAY = NOON.date()
DAY = timedelta(days=1)


@pytest.fixture
def shop(monkeypatch: pytest.MonkeyPatch) -> ShopProfile:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    return ShopFactory()


@pytest.fixture
def owners(shop: ShopProfile, client: Client) -> Client:
    client.force_login(OwnerFactory(), backend=BACKEND)
    return client


def typed(**changed: str) -> dict[str, str]:
    """The form as it is proposed and sent, with some of it changed."""
    form = PolicyForm(now=policy_on(TODAY), today=TODAY)
    proposed = {name: form.get_initial_for_field(field, name) for name, field in form.fields.items()}
    sent = {name: str(value) for name, value in proposed.items() if value not in (None, False, "")}
    return sent | {"timer_public": "on"} | changed


def policy(starts: date = TODAY, **terms: Any) -> HousePolicy:
    return HousePolicy.objects.create(starts=starts, at=NOON, **terms)


def test_before_there_is_any_the_usual_figures_hold_and_are_shown(owners: Client) -> None:
    page = owners.get(reverse("policies")).text
    assert "You have written down no policy yet" in page
    assert "72 hours" in page
    assert policy_at(NOON).hold_hours == 48
    assert not HousePolicy.objects.exists()


def test_a_policy_is_added_with_history_and_a_second_press_adds_nothing(
    owners: Client, shop: ShopProfile
) -> None:
    for _ in range(2):
        answer = owners.post(reverse("policy-new"), typed(hold_hours="24", note="Fewer hands"), follow=True)
    assert "House policy from 10 June 2026: it is written down." in answer.text
    row = HousePolicy.objects.get()
    assert (row.hold_hours, row.hold_most_hours, row.note, row.timer_public) == (24, 72, "Fewer hands", True)
    (entry,) = history_of(shop)
    assert (entry.verb, entry.new) == ("house policy added", "House policy from 10 June 2026")
    assert "In force" in answer.text


def test_a_policy_from_tomorrow_waits_for_its_day(owners: Client) -> None:
    owners.post(reverse("policy-new"), typed(hold_hours="24"))
    owners.post(reverse("policy-new"), typed(hold_hours="12", starts=str(TODAY + DAY)))
    assert policy_on(TODAY).hold_hours == 24
    assert policy_on(TODAY + DAY).hold_hours == 12
    page = owners.get(reverse("policies")).text
    assert page.index("To come") < page.index("In force")
    assert "<b>12 hours</b>" in page  # what differs from the one before it


def test_the_day_of_a_policy_begins_by_the_calendar_of_the_shop(shop: ShopProfile) -> None:
    policy(date(2026, 1, 1), hold_hours=24)
    policy(date(2026, 12, 1), hold_hours=12)
    # Midnight in New York is five o'clock UTC in winter (IANA time zone database).
    assert policy_at(datetime(2026, 12, 1, 4, 59, tzinfo=UTC)).hold_hours == 24
    assert policy_at(datetime(2026, 12, 1, 5, 0, tzinfo=UTC)).hold_hours == 12


def test_of_two_of_one_day_the_one_added_later_holds(shop: ShopProfile) -> None:
    policy(hold_hours=24)
    policy(hold_hours=36)
    assert policy_on(TODAY).hold_hours == 36


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"hold_hours": "96"}, "The usual hold of 96 hours is longer than the longest, 72 hours."),
        ({"surcharge_percent": "3"}, "Write where it says that a surcharge is allowed"),
        ({"starts": "2026-06-09"}, "A policy cannot begin on a day gone by. Write 10 June 2026"),
        ({"deposit_percent": "101"}, "less than or equal to 100"),
        ({"hold_hours": "0"}, "greater than or equal to 1"),
    ],
)
def test_what_cannot_be_meant_comes_back_with_all_that_was_typed(
    owners: Client, changed: dict[str, str], says: str
) -> None:
    answer = owners.post(reverse("policy-new"), typed(note="Kept as typed", **changed))
    assert says in answer.text
    assert 'value="Kept as typed"' in answer.text
    assert not HousePolicy.objects.exists()


def test_the_database_itself_refuses_what_cannot_be_meant(shop: ShopProfile) -> None:
    for terms in ({"hold_hours": 96}, {"surcharge_percent": Decimal(3)}):
        with pytest.raises(IntegrityError), transaction.atomic():
            policy(**terms)


def test_a_policy_is_never_changed(shop: ShopProfile) -> None:
    row = policy()
    row.hold_hours = 12
    with pytest.raises(FactIsFixed):
        row.save()
    with pytest.raises(Exception, match="never changed"), transaction.atomic(), connection.cursor() as raw:
        raw.execute("UPDATE shop_housepolicy SET hold_hours = 12")


def test_the_deed_refuses_a_day_gone_by_as_well(shop: ShopProfile) -> None:
    with pytest.raises(Refused) as refused:
        add_policy({"starts": TODAY - DAY}, by=None, at=NOON)
    assert refused.value.code == "gone-by"


def test_only_the_owner_sees_and_adds(shop: ShopProfile, client: Client) -> None:
    client.force_login(HelperFactory(), backend=BACKEND)
    assert client.get(reverse("policies")).status_code == 403
    assert client.post(reverse("policy-new"), typed()).status_code == 403
    assert not HousePolicy.objects.exists()


def test_every_term_stands_on_the_page_once(shop: ShopProfile) -> None:
    row = policy(declared_limit=Decimal(20000), damage_days=1, surcharge_source="Card contract, page 4")
    model = {field.name for field in HousePolicy._meta.concrete_fields}
    assert set(TERMS) == model - {"id", "starts", "note", "by", "at"}
    parts = side_by_side([row], "USD")
    assert sum(len(lines) for _, lines in parts) == len(TERMS) == len(set(TERMS))


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("hold_hours", 48, "48 hours"),
        ("hold_hours", 1, "1 hour"),
        ("deposit_hold_days", 30, "30 days"),
        ("instalment_months", 6, "6 months"),
        ("grace_days", 7, "7 days"),
        ("deposit_percent", Decimal("20.00"), "20 %"),
        ("deposit_percent", Decimal("12.50"), "12.5 %"),
        ("timer_public", False, "No"),
        ("declared_limit", Decimal(20000), "$20,000"),
        ("declared_limit", None, "None is known"),
        ("damage_days", None, "None is known"),
    ],
)
def test_a_term_in_words(name: str, value: object, words: str) -> None:
    assert said(HousePolicy(starts=TODAY, **{name: value}), name, "USD") == words


def test_many_policies_cost_no_more_queries(
    owners: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    policy()
    with django_assert_num_queries(6) as first:
        owners.get(reverse("policies"))
    for number in range(5):
        policy(TODAY + number * DAY)
    with django_assert_num_queries(len(first)):
        owners.get(reverse("policies"))
