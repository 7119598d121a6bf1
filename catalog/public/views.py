"""The buyer's pages. They hand plain values (catalog/public/shown) to their templates, never a record."""

from datetime import datetime
from itertools import groupby

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.instruments.availability import Availability, waiting_behind
from catalog.instruments.grades import scale
from catalog.instruments.models import Instrument
from catalog.public.maker_queries import name_addresses
from catalog.public.queries import PAGE_LENGTH, addresses, cards, pages
from catalog.public.shown.cards import Card, card
from catalog.public.shown.listing import listing
from catalog.public.shown.neighbours import neighbours
from shop.profile.queries import the_shop

NEWEST = 6
PLACES = ("front", "catalogue", "makers-list", "sold", "about", "terms")


@require_safe
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
    shown = listing(instrument, waiting=waiting_behind(instrument, at=at))
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
def sold(request: HttpRequest) -> HttpResponse:
    """The sold archive, latest first, under the years of sale."""
    page = Paginator(cards(Instrument.objects.archived(), at=timezone.now()), PAGE_LENGTH).get_page(
        request.GET.get("page")
    )
    years = groupby(page.object_list, key=_year_of_sale)
    shown = {"page_obj": page, "years": [(year, [card(row) for row in rows]) for year, rows in years]}
    return render(request, "public/sold.html", shown)


def _year_of_sale(instrument: Instrument) -> int:
    return timezone.localtime(instrument.sold_at).year


@require_safe
def about(request: HttpRequest) -> HttpResponse:
    """Who keeps the shop."""
    return render(request, "public/about.html", {"scale": scale()})


@require_safe
def terms(request: HttpRequest) -> HttpResponse:
    """How a purchase goes: the shop's own text, and what follows from its profile."""
    return render(request, "public/terms.html")


@require_safe
def robots(request: HttpRequest) -> HttpResponse:
    """What programs may read: everything public, and nothing of the desk."""
    lines = [
        "User-agent: *",
        f"Disallow: {reverse('today')}",
        f"Sitemap: {_absolute(request, reverse('sitemap'))}",
    ]
    return HttpResponse("\n".join(lines) + "\n", content_type="text/plain; charset=utf-8")


@require_safe
def sitemap(request: HttpRequest) -> HttpResponse:
    """Every public address (sitemaps.org protocol 0.9)."""
    places: list[tuple[str, datetime | None]] = [(_absolute(request, reverse(name)), None) for name in PLACES]
    places += [(_absolute(request, path), changed) for path, changed in addresses()]
    places += [(_absolute(request, path), None) for path in name_addresses()]
    return render(request, "public/sitemap.xml", {"places": places}, content_type="application/xml")


def _absolute(request: HttpRequest, path: str) -> str:
    return request.build_absolute_uri(path)
