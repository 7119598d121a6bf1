"""The owner's page of opening hours: what is typed is kept, what cannot be meant is refused."""

from datetime import UTC, date, datetime, time

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from shop.history.queries import history_of
from shop.hours.actions import close_days, set_hours
from shop.hours.forms import WeekForm
from shop.hours.queries import hours_of_the_week, open_week
from shop.models import ClosedDay, OpenHours, ShopProfile
from tests.factories import NOON, HelperFactory, OwnerFactory, ShopFactory

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"
TUESDAY = ((time(9), time(12, 30)), (time(14), time(18)))


@pytest.fixture
def shop() -> ShopProfile:
    return ShopFactory()


@pytest.fixture
def owners(shop: ShopProfile, client: Client) -> Client:
    client.force_login(OwnerFactory(), backend=BACKEND)
    return client


def typed(**changed: str) -> dict[str, str]:
    """The form as sent: open on Tuesday with a break, closed otherwise."""
    empty = dict.fromkeys(WeekForm().fields, "")
    return (
        empty
        | {"opens_1_1": "09:00", "closes_1_1": "12:30", "opens_1_2": "14:00", "closes_1_2": "18:00"}
        | changed
    )


def test_the_week_is_kept_as_typed_with_a_row_for_each_weekday_changed(
    owners: Client, shop: ShopProfile
) -> None:
    assert "the clock runs always" in owners.get(reverse("hours")).text
    assert owners.post(reverse("hours"), typed()).status_code == 302
    assert hours_of_the_week() == {1: TUESDAY}
    owners.post(reverse("hours"), typed(opens_6_1="11:00", closes_6_1="15:00"))
    assert [(row.field, row.old, row.new) for row in history_of(shop)] == [
        ("open hours on Sunday", "closed", "11:00 am to 3:00 pm"),
        ("open hours on Tuesday", "closed", "9:00 am to 12:30 pm, 2:00 pm to 6:00 pm"),
    ]
    page = owners.get(reverse("hours")).text
    assert 'value="12:30"' in page
    assert "the clock runs always" not in page


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"closes_1_1": ""}, "Write when the shop closes on Tuesday as well."),
        ({"opens_0_1": "", "closes_0_1": "17:00"}, "Write when the shop opens on Monday as well."),
        ({"opens_1_1": "13:00"}, "This is not after the opening."),
        ({"closes_1_1": "09:00"}, "This is not after the opening."),
        ({"opens_1_2": "12:30"}, "The second span begins before the first has ended."),
        ({"opens_1_1": "nine"}, "Enter a valid time."),
    ],
)
def test_hours_that_cannot_be_meant_come_back(changed: dict[str, str], said: str, owners: Client) -> None:
    answer = owners.post(reverse("hours"), typed(**changed))
    assert answer.status_code == 200
    assert said in answer.text
    assert 'value="18:00"' in answer.text
    assert not OpenHours.objects.exists()


def test_days_are_closed_and_opened_again(owners: Client, shop: ShopProfile) -> None:
    press = {"first": "2030-12-24", "last": "2030-12-26", "why": "Christmas"}
    for _ in range(2):
        assert owners.post(reverse("closed-day-new"), press).status_code == 302
    assert [day.day.day for day in ClosedDay.objects.all()] == [24, 25, 26]
    page = owners.get(reverse("hours")).text
    assert "24 December 2030" in page
    second = ClosedDay.objects.get(day=date(2030, 12, 25))
    for _ in range(2):
        owners.post(reverse("closed-day-remove", args=[second.pk]))
    assert [day.day.day for day in ClosedDay.objects.all()] == [24, 26]
    rows = [(row.verb, row.old, row.new) for row in history_of(shop)]
    assert rows[0] == ("opened again", "25 December 2030 (Christmas)", "")
    assert len(rows) == 4


@pytest.mark.parametrize(
    ("press", "said"),
    [
        ({"first": "2030-12-26", "last": "2030-12-24"}, "The last day lies before the first."),
        ({"first": "2030-01-01", "last": "2030-12-24"}, "Close no more than 62 at once"),
        ({"first": "", "last": ""}, "This field is required."),
    ],
)
def test_days_that_cannot_be_closed_come_back(press: dict[str, str], said: str, owners: Client) -> None:
    answer = owners.post(reverse("closed-day-new"), press | {"why": "A long journey"})
    assert said in answer.text
    assert "A long journey" in answer.text
    assert not ClosedDay.objects.exists()


def test_the_hours_are_the_owners(shop: ShopProfile, client: Client) -> None:
    client.force_login(HelperFactory(), backend=BACKEND)
    close_days(date(2030, 1, 1), date(2030, 1, 1), "", by=None, at=NOON)
    closed = ClosedDay.objects.get()
    assert client.get(reverse("hours")).status_code == 403
    assert client.post(reverse("hours"), typed()).status_code == 403
    assert client.post(reverse("closed-day-new"), {"first": "2030-12-24"}).status_code == 403
    assert client.post(reverse("closed-day-remove", args=[closed.pk])).status_code == 403
    assert ClosedDay.objects.get() == closed


def test_the_week_is_read_in_two_queries(
    shop: ShopProfile, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    set_hours({1: TUESDAY, 4: TUESDAY}, by=None, at=NOON)
    close_days(date(2026, 12, 24), date(2026, 12, 31), "", by=None, at=NOON)
    with django_assert_num_queries(2):
        week = open_week(shop)
    assert week.hours == {1: TUESDAY, 4: TUESDAY}
    assert len(week.closed) == 8
    assert week.of(date(2026, 11, 24))[0][0] == datetime(2026, 11, 24, 14, 0, tzinfo=UTC)
