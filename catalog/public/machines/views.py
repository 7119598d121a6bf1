"""What machines ask for: the rules for robots, the site map, the feed, the picture that stands for a page."""

from django.conf import settings
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.instruments.models import Instrument
from catalog.public.depends import of_feed, of_shop, of_sitemap, turn_of_any
from catalog.public.machines.feed import feed
from catalog.public.machines.preview import preview_mark, preview_picture
from catalog.public.machines.site_map import SiteMap, site_map
from catalog.public.queries import cards
from catalog.public.shown.cards import card
from catalog.public.shown.entries import entry
from shop.kept.pages import kept
from shop.languages.addresses import in_language
from shop.profile.queries import the_shop

ENTRIES = 30
XML = "application/xml"


@require_safe
@kept(depends_on=of_shop)
def robots(request: HttpRequest) -> HttpResponse:
    """What programs may read: everything public, and nothing of the desk."""
    lines = [
        "User-agent: *",
        f"Disallow: {reverse('today')}",
        f"Sitemap: {request.build_absolute_uri(reverse('sitemap'))}",
    ]
    return HttpResponse("\n".join(lines) + "\n", content_type="text/plain; charset=utf-8")


@require_safe
@kept(depends_on=of_sitemap)
def sitemap(request: HttpRequest) -> HttpResponse:
    """Every public address, or the files in which they lie when one cannot hold them."""
    whole = site_map()
    if whole.files == 1:
        return _map_file(request, whole, 1)
    paths = [reverse("sitemap-file", args=[number]) for number in range(1, whole.files + 1)]
    shown = {"files": [request.build_absolute_uri(path) for path in paths]}
    return render(request, "public/sitemap_index.xml", shown, content_type=XML)


@require_safe
@kept(depends_on=of_sitemap)
def sitemap_file(request: HttpRequest, number: int) -> HttpResponse:
    """One file of the site map."""
    whole = site_map()
    if not 1 <= number <= whole.files:
        raise Http404
    return _map_file(request, whole, number)


def _map_file(request: HttpRequest, whole: SiteMap, number: int) -> HttpResponse:
    codes = [code for code, _ in settings.LANGUAGES]
    places = [
        ([(code, request.build_absolute_uri(in_language(path, code))) for code in codes], changed)
        for path, changed in whole.places_of(number)
    ]
    return render(request, "public/sitemap.xml", {"places": places}, content_type=XML)


@require_safe
@kept(depends_on=of_feed, until=turn_of_any)
def newly_listed(request: HttpRequest) -> HttpResponse:
    """The feed of what was listed last."""
    rows = cards(Instrument.objects.listed(), at=timezone.now())[:ENTRIES]
    at = request.build_absolute_uri
    made = feed([entry(row) for row in rows], shop=the_shop(), address=at(reverse("feed")), at=at)
    return HttpResponse(made.writeString("utf-8"), content_type=made.content_type)


@require_safe
def listing_preview(request: HttpRequest, stock: int, slug: str, mark: str) -> HttpResponseBase:
    """The picture that stands for a listing elsewhere. Its address changes with what it shows, so it may be kept."""
    public = cards(Instrument.objects.public(), at=timezone.now())
    instrument = get_object_or_404(public, stock__number=stock)
    shown, shop = card(instrument), the_shop().name
    now = preview_mark(shown, shop)
    if (slug, mark) != (instrument.slug, now):
        return redirect("listing-preview", stock, instrument.slug, now)
    answer = FileResponse(preview_picture(shown, shop), content_type="image/jpeg")
    answer["Cache-Control"] = "public, max-age=31536000, immutable"
    return answer
