"""Find the shop's hours."""

from collections import defaultdict
from datetime import date

from django.db.models import QuerySet

from shop.hours.rules import OpenWeek, Span
from shop.profile.models import ClosedDay, OpenHours, ShopProfile


def open_week(shop: ShopProfile) -> OpenWeek:
    """The hours of the week and the closed days, in the shop's zone. Two queries."""
    hours = hours_of_the_week()
    closed = frozenset(ClosedDay.objects.values_list("day", flat=True))
    return OpenWeek(shop.zone, hours, closed)


def hours_of_the_week() -> dict[int, tuple[Span, ...]]:
    """The spans of each weekday that has any, in order."""
    found: dict[int, list[Span]] = defaultdict(list)
    for weekday, opens, closes in OpenHours.objects.values_list("weekday", "opens", "closes"):
        found[weekday].append((opens, closes))
    return {weekday: tuple(spans) for weekday, spans in found.items()}


def closed_from(day: date) -> QuerySet[ClosedDay]:
    """Closed days from `day` on, the next one first."""
    return ClosedDay.objects.filter(day__gte=day).order_by("day")


def closed_before(day: date) -> QuerySet[ClosedDay]:
    """Closed days gone by, the latest first."""
    return ClosedDay.objects.filter(day__lt=day).order_by("-day")
