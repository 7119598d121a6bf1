"""What programs read in the head of a public page."""

from collections.abc import Callable
from typing import Any

from django import template
from django.conf import settings
from django.http import HttpRequest
from django.template import Context
from django.urls import reverse
from django.utils.html import format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from catalog.public.machines import linked
from catalog.public.machines.block import data_block
from catalog.public.machines.canonical import canonical_path
from catalog.public.machines.preview import preview_path
from catalog.public.shown.listing import Listing
from shop.languages.addresses import in_every_language, in_language
from shop.wording import gettext as _
from shop.wording import is_own, language

register = template.Library()
TERRITORIES = {"en": "en_US", "de": "de_DE"}


@register.simple_tag(takes_context=True)
def canonical(context: Context) -> str:
    """The one whole address of the page; empty where no page was found."""
    request: HttpRequest | None = context.get("request")
    if request is None or request.resolver_match is None:
        return ""
    return request.build_absolute_uri(_known(request, request.path))


@register.simple_tag(takes_context=True)
def alternates(context: Context) -> SafeString:
    """The same page in each language, itself among them, and which one is for everybody else."""
    found = _in_every_language(context.get("request"))
    default = [("x-default", found[0][1])] if found else []
    links = [(code, context["request"].build_absolute_uri(path)) for code, path in found + default]
    return format_html_join("\n    ", '<link rel="alternate" hreflang="{}" href="{}">', links)


@register.simple_tag(takes_context=True)
def other_languages(context: Context) -> list[tuple[str, str, str]]:
    """Each language but that of the page: its code, its own name, and this page in it, or else its front page."""
    known = dict(_in_every_language(context.get("request")))
    front = reverse("front")
    return [
        (code, name, known.get(code) or in_language(front, code))
        for code, name in settings.LANGUAGES
        if code != get_language()
    ]


@register.simple_tag
def territory(code: str = "") -> str:
    """A language with the land whose manner of writing it is here, as in `en_US`; that of the page if none is named."""
    return TERRITORIES.get(code or get_language() or "", code)


def _in_every_language(request: HttpRequest | None) -> list[tuple[str, str]]:
    """Each language with the path of this page in it, with the choices that the page knows."""
    if request is None or request.resolver_match is None:
        return []
    return [(code, _known(request, path)) for code, path in in_every_language(request.path)]


def _known(request: HttpRequest, path: str) -> str:
    name = request.resolver_match.url_name if request.resolver_match else ""
    return canonical_path(path, name or "", request.GET.dict())


@register.simple_tag(takes_context=True)
def listing_data(context: Context, listing: Listing) -> SafeString:
    """One piece as linked data."""
    trail = (_("Sold archive"), "sold") if listing.sold else (_("Instruments"), "catalogue")
    steps = [(trail[0], reverse(trail[1])), (listing.title, listing.card.address)]
    return _block(context, linked.of_listing(listing, steps, shop=context["shop"], at=_absolute(context)))


@register.simple_tag(takes_context=True)
def shop_data(context: Context) -> SafeString:
    """The shop as linked data."""
    return _block(context, linked.of_shop(context["shop"], at=_absolute(context)))


@register.simple_tag(takes_context=True)
def trail_data(context: Context, *steps: str) -> SafeString:
    """The way to a page as linked data: name and path of each step in turn."""
    trail = list(zip(map(str, steps[::2]), steps[1::2], strict=True))
    return _block(context, linked.of_place(trail, at=_absolute(context)))


@register.simple_tag(takes_context=True)
def preview_of(context: Context, listing: Listing) -> str:
    """The whole address of the picture that stands for a listing."""
    return _absolute(context)(preview_path(listing.card, context["shop"].name))


@register.simple_tag(takes_context=True)
def whole_address(context: Context, path: str) -> str:
    """A path of the site as a whole address."""
    return _absolute(context)(path)


def _block(context: Context, values: linked.Values) -> SafeString:
    """The values; with the language of the page that says them, where it is not the dealer's own."""
    if is_own():
        return data_block(values)
    return data_block(linked.on_page(values, address=canonical(context), language=language()))


def _absolute(context: Context) -> Callable[[str], str]:
    request: Any = context["request"]
    return lambda path: str(request.build_absolute_uri(path))
