"""What every template may say of the shop."""

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from shop.profile.queries import the_shop


def shop(request: HttpRequest) -> dict[str, object]:
    """`shop`: the ShopProfile, read at most once a page and only when a template asks."""
    return {"shop": getattr(request, "shop", None) or SimpleLazyObject(the_shop)}
