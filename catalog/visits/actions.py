"""Count up what the book of the day says, close the books of days that are over, forget what is old."""

from collections import Counter
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction

from catalog.instruments.models import Instrument
from catalog.visits.daybook import days_in, lines_of, throw_away
from catalog.visits.models import DayOfViews
from catalog.visits.rules import Key, counted

KEPT = timedelta(days=400)  # a year and a month: each month beside the same one a year before
STRAGGLERS = timedelta(minutes=5)  # a page that was asked for before midnight has been answered by then


def count_up(*, zone: ZoneInfo, at: datetime) -> None:
    """Bring the counts up to the books; the book of a day that is over is then thrown away.

    The counts are set to what a book says, never added to, so that counting again changes nothing.
    """
    running = (at - STRAGGLERS).astimezone(zone).date()
    for day, folder in days_in(Path(settings.VISITS_DIR)):
        set_views(day, counted(lines_of(folder)))
        if day < running:
            throw_away(folder)


@transaction.atomic
def set_views(day: date, views: Counter[Key]) -> None:
    """Raise the day's rows to `views`, by stock number and host; a row never falls."""
    pieces = _pieces(stock for stock, _ in views)
    kept = {
        (row.instrument_id, row.host): row
        for row in DayOfViews.objects.filter(day=day, instrument__in=pieces.values())
    }
    fresh = []
    for (stock, host), number in views.items():
        if stock not in pieces:
            continue
        row = kept.get((pieces[stock], host))
        if row is None:
            fresh.append(DayOfViews(instrument_id=pieces[stock], day=day, host=host, views=number))
        elif row.views < number:
            DayOfViews.objects.filter(pk=row.pk, views__lt=number).update(views=number)
    DayOfViews.objects.bulk_create(fresh, ignore_conflicts=True)


def _pieces(stocks: Iterable[int]) -> dict[int, int]:
    return dict(Instrument.objects.filter(stock__in=set(stocks)).values_list("stock_id", "pk"))


def forget_old(*, zone: ZoneInfo, at: datetime) -> int:
    """Remove the counts of days longer ago than they are kept; how many rows."""
    oldest = at.astimezone(zone).date() - KEPT
    return DayOfViews.objects.filter(day__lt=oldest).delete()[0]
