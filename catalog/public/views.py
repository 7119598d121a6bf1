"""The buyer's pages. They hand plain values (catalog/public/shown) to their templates, never a record."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.instruments.availability import Availability, held_until, waiting_behind
from catalog.instruments.grades import scale
from catalog.instruments.models import Instrument
from catalog.public.depends import of_cards, of_listing, of_shop, turn_of_any, turn_of_listing
from catalog.public.queries import cards, pages
from catalog.public.shown.cards import Card, card
from catalog.public.shown.listing import listing
from catalog.public.shown.neighbours import neighbours
from shop.kept.pages import kept
from shop.profile.queries import the_shop

NEWEST = 6


@require_safe
@kept(depends_on=of_cards, until=turn_of_any)
def front(request: HttpRequest) -> HttpResponse:
    """The front page: one piece large, the newest beside it, a word on the shop."""
    now = timezone.now()
    newest = [card(row) for row in cards(Instrument.objects.listed(), at=now)[: NEWEST + 1]]
    hero = _hero(newest)
    shown = {
        "hero": hero,
        "lede": the_shop().about.replace("\r", "").partition("\n\n")[0],
        "newest": [one for one in newest if one is not hero][:NEWEST],
        "listed": Instrument.objects.listed().count(),
        "sold": Instrument.objects.archived().count(),
    }
    return render(request, "public/front.html", shown)


def _hero(newest: list[Card]) -> Card | None:
    """The newest piece that has a picture; one that can still be had goes first."""
    pictured = [one for one in newest if one.picture]
    free = [one for one in pictured if one.state == Availability.AVAILABLE]
    return next(iter(free or pictured), None)


@require_safe
@kept(depends_on=of_listing, until=turn_of_listing)
def listing_page(request: HttpRequest, stock: int, slug: str) -> HttpResponseBase:
    """One instrument, listed or sold. The page lives at one address: an old slug leads to the new one."""
    now = timezone.now()
    instrument = get_object_or_404(pages(Instrument.objects.public(), at=now), stock__number=stock)
    if slug != instrument.slug:
        return redirect(instrument, permanent=True)
    return answer_with_listing(request, instrument, at=now)


def answer_with_listing(
    request: HttpRequest, instrument: Instrument, *, at: datetime, **more: object
) -> HttpResponse:
    """The listing as the public sees it; `instrument` came through catalog.public.queries.pages.

    The desk's preview is this same page, with `preview=True` in `more`.
    """
    ends = held_until(instrument, at=at)
    shown = listing(instrument, waiting=waiting_behind(instrument, at=at), held_until=ends)
    beside = neighbours(instrument, at=at)
    context = {
        "listing": shown,
        "beside": beside,
        "scale": scale(),
        "address": _absolute(request, shown.card.address),
        **more,
    }
    return render(request, "public/listing.html", context)


@require_safe
@kept(depends_on=of_shop)
def about(request: HttpRequest) -> HttpResponse:
    """Who keeps the shop."""
    return render(request, "public/about.html", {"scale": scale()})


@require_safe
@kept(depends_on=of_shop)
def terms(request: HttpRequest) -> HttpResponse:
    """How a purchase goes: the shop's own text, and what follows from its profile."""
    return render(request, "public/terms.html")


def _absolute(request: HttpRequest, path: str) -> str:
    return request.build_absolute_uri(path)
