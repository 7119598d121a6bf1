"""The desk's page over the counts of a month."""

from datetime import date, timedelta

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.visits.actions import KEPT
from catalog.visits.queries import looked_at_all, most_looked_at, named
from catalog.visits.rules import bars
from shop.months import Month
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, desk

PAGE_LENGTH = 50
MOST_HOSTS = 25


@require_safe
@desk
def visits(request: DeskRequest, month: str = "") -> HttpResponse:
    """What was looked at in one month, the most first, and where visitors came from."""
    zone, at = the_shop().zone, timezone.now()
    running = Month.of(at, zone)
    wanted = _wanted(month, running)
    first = date(wanted.year, wanted.number, 1)
    following = wanted.later(1)
    last = date(following.year, following.number, 1) - timedelta(days=1)
    seen = looked_at_all(first, min(last, at.astimezone(zone).date()))
    page = Paginator(most_looked_at(first, last), PAGE_LENGTH).get_page(request.GET.get("page"))
    rows = list(page.object_list)
    pieces = named(key for key, _ in rows)
    context = {
        "month": wanted,
        "before": wanted.later(-1),
        "after": following if wanted < running else None,
        "seen": seen,
        "hosts": bars(seen.hosts[:MOST_HOSTS]),
        "other_hosts": seen.hosts[MOST_HOSTS:],
        "page_obj": page,
        "pieces": [(pieces[key], views, length) for key, views, length in bars(rows)],
        "kept_days": KEPT.days,
    }
    return render(request, "desk/visits/visits.html", context)


def _wanted(text: str, running: Month) -> Month:
    """The month named, or the one that runs; a name that is none, or a month to come, is not found."""
    try:
        wanted = Month.read(text) if text else running
    except ValueError as error:
        raise Http404(str(error)) from None
    if wanted > running:
        raise Http404("This month has not begun.")
    return wanted
