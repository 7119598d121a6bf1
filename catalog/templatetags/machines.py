"""What programs read in the head of a public page."""

from collections.abc import Callable
from typing import Any

from django import template
from django.http import HttpRequest
from django.template import Context
from django.urls import reverse
from django.utils.safestring import SafeString

from catalog.public.machines import linked
from catalog.public.machines.block import data_block
from catalog.public.machines.canonical import canonical_path
from catalog.public.machines.preview import preview_path
from catalog.public.shown.listing import Listing

register = template.Library()


@register.simple_tag(takes_context=True)
def canonical(context: Context) -> str:
    """The one whole address of the page; empty where no page was found."""
    request: HttpRequest | None = context.get("request")
    if request is None or request.resolver_match is None:
        return ""
    path = canonical_path(request.path, request.resolver_match.url_name or "", request.GET.dict())
    return request.build_absolute_uri(path)


@register.simple_tag(takes_context=True)
def listing_data(context: Context, listing: Listing) -> SafeString:
    """One piece as linked data."""
    trail = [("Instruments", "catalogue"), ("Sold archive", "sold")][listing.sold]
    steps = [(trail[0], reverse(trail[1])), (listing.title, listing.card.address)]
    return data_block(linked.of_listing(listing, steps, shop=context["shop"], at=_absolute(context)))


@register.simple_tag(takes_context=True)
def shop_data(context: Context) -> SafeString:
    """The shop as linked data."""
    return data_block(linked.of_shop(context["shop"], at=_absolute(context)))


@register.simple_tag(takes_context=True)
def trail_data(context: Context, *steps: str) -> SafeString:
    """The way to a page as linked data: name and path of each step in turn."""
    trail = list(zip(map(str, steps[::2]), steps[1::2], strict=True))
    return data_block(linked.of_place(trail, at=_absolute(context)))


@register.simple_tag(takes_context=True)
def preview_of(context: Context, listing: Listing) -> str:
    """The whole address of the picture that stands for a listing."""
    return _absolute(context)(preview_path(listing.card, context["shop"].name))


@register.simple_tag(takes_context=True)
def whole_address(context: Context, path: str) -> str:
    """A path of the site as a whole address."""
    return _absolute(context)(path)


def _absolute(context: Context) -> Callable[[str], str]:
    request: Any = context["request"]
    return lambda path: str(request.build_absolute_uri(path))
