"""Dates and times are shown in the shop's own zone."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from shop.profile.queries import the_shop


class ShopOnRequest:
    """Middleware: read the shop's profile once, put it on the request, and show times in its zone."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if not request.path.startswith(("/static/", "/pictures/")):
            request.shop = the_shop()  # type: ignore[attr-defined]
            timezone.activate(request.shop.zone)  # type: ignore[attr-defined]
        try:
            return self.get_response(request)
        finally:
            timezone.deactivate()
