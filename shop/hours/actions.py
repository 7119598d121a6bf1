"""Deeds on the hours: set the week, close a day or a row of days, open one again."""

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta

from django.db import transaction

from shop.history.actions import record
from shop.hours.queries import hours_of_the_week
from shop.hours.rules import Span
from shop.profile.models import ClosedDay, OpenHours, ShopProfile
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

Weekday = OpenHours.Weekday
MOST_DAYS = 62  # closed in one row
DAY = timedelta(days=1)


@transaction.atomic
def set_hours(week: Mapping[int, tuple[Span, ...]], *, by: User | None, at: datetime) -> None:
    """Make these the hours of the week, with a history row for each weekday that changes."""
    ShopProfile.objects.select_for_update().filter(pk=1).first()
    before = hours_of_the_week()
    for weekday in Weekday:
        old, new = before.get(weekday, ()), tuple(week.get(weekday, ()))
        if old == new:
            continue
        OpenHours.objects.filter(weekday=weekday).delete()
        OpenHours.objects.bulk_create(
            OpenHours(weekday=weekday, opens=opens, closes=closes) for opens, closes in new
        )
        field = f"open hours on {weekday.label}"
        record(the_shop(), "changed", by=by, at=at, field=field, old=spoken(old), new=spoken(new))


@transaction.atomic
def close_days(first: date, last: date, why: str, *, by: User | None, at: datetime) -> int:
    """Close every day from `first` to `last`; how many were open before. A day closed already stays as it is."""
    if last < first:
        raise Refused("The last day lies before the first. Turn them round.", code="days-in-order")
    many = (last - first).days + 1
    if many > MOST_DAYS:
        raise Refused(
            f"These are {many} days. Close no more than {MOST_DAYS} at once; add the rest after them.",
            code="too-many-days",
        )
    added = 0
    for day in (first + DAY * number for number in range(many)):
        closed, new = ClosedDay.objects.get_or_create(day=day, defaults={"why": why})
        if new:
            added += 1
            record(the_shop(), "closed", by=by, at=at, field="closed day", new=_named(closed))
    return added


@transaction.atomic
def open_again(closed: ClosedDay, *, by: User | None, at: datetime) -> None:
    """The shop is open on that day after all."""
    name = _named(closed)
    if ClosedDay.objects.filter(pk=closed.pk).delete()[0]:
        record(the_shop(), "opened again", by=by, at=at, field="closed day", old=name)


def spoken(spans: tuple[Span, ...]) -> str:
    """“9:00 am to 12:30 pm, 2:00 pm to 6:00 pm”, or “closed”."""
    return ", ".join(f"{_clock(opens)} to {_clock(closes)}" for opens, closes in spans) or "closed"


def _clock(hour: time) -> str:
    return f"{hour:%-I:%M} {'am' if hour.hour < 12 else 'pm'}"


def _named(closed: ClosedDay) -> str:
    return f"{closed} ({closed.why})" if closed.why else str(closed)
