"""How often pieces were looked at."""

from collections.abc import Iterable
from datetime import date, timedelta

from django.db.models import QuerySet, Sum

from catalog.instruments.models import Instrument
from catalog.visits.models import DayOfViews
from catalog.visits.rules import Looked, looked

SPAN = timedelta(days=30)


def looked_at(instrument: Instrument, *, last: date) -> Looked:
    """The thirty days up to `last` of one piece, in one query."""
    first = last - SPAN + timedelta(days=1)
    rows = DayOfViews.objects.filter(instrument=instrument, day__range=(first, last))
    return looked(rows.values_list("day", "host", "views"), first, last)


def looked_at_all(first: date, last: date) -> Looked:
    """All pieces together from `first` to `last`, in one query."""
    rows = DayOfViews.objects.filter(day__range=(first, last)).order_by().values_list("day", "host")
    return looked(rows.annotate(together=Sum("views")), first, last)


def most_looked_at(first: date, last: date) -> "QuerySet[DayOfViews, tuple[int, int]]":
    """Each piece's key and its views from `first` to `last`, the most first."""
    seen = DayOfViews.objects.filter(day__range=(first, last)).order_by().values("instrument")
    return (
        seen.annotate(together=Sum("views"))
        .order_by("-together", "-instrument")
        .values_list("instrument", "together")
    )


def named(keys: Iterable[int]) -> dict[int, Instrument]:
    """The pieces with these keys, with their names, in one query."""
    return Instrument.objects.named().in_bulk(list(keys))
