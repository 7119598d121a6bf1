"""Notes each look at a listing. It stands outside of what answers, so a page that was kept ready counts too."""

import logging
import re
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.exceptions import SuspiciousOperation
from django.http import HttpRequest, HttpResponse
from django.http.request import split_domain_port
from django.utils import timezone

from catalog.visits.daybook import DayBook
from catalog.visits.rules import ASKED_OF, came_from, is_a_view
from shop.profile.queries import the_shop

log = logging.getLogger("shop.visits")

LISTING = re.compile(r"(?:/[a-z]{2})?/instruments/([1-9][0-9]{0,17})-[-\w]+/", re.ASCII)
ZONE_SECONDS = 600
IN_META = {name: f"HTTP_{name.upper().replace('-', '_')}" for name in ASKED_OF}


class CountViews:
    """Middleware: note who looked at which listing, under a name that lasts a day and leads nowhere.

    No cookie is set and none is needed. Members of staff carry the cookie of their log-in and are not counted.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response
        self.book = DayBook(Path(settings.VISITS_DIR))
        self._zone: ZoneInfo | None = None
        self._zone_read = 0.0

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        found = LISTING.fullmatch(request.path_info)
        if found and is_a_view(request.method or "", response.status_code, Sent(request.META)):
            self._note(request, int(found[1]))
        return response

    def _note(self, request: HttpRequest, stock: int) -> None:
        about = request.META
        if "HTTP_COOKIE" in about and settings.SESSION_COOKIE_NAME in request.COOKIES:
            return
        visitor = f"{about.get('REMOTE_ADDR', '')} {about.get('HTTP_USER_AGENT', '')}"
        day = timezone.now().astimezone(self._shop_zone(request)).date()
        try:
            self.book.note(day, stock, visitor, host=lambda: _host(request))
        except SuspiciousOperation:  # asked by a name that is not ours
            return
        except OSError:  # a page is never held up by its count
            log.exception("a view of no. %s was not noted", stock)

    def _shop_zone(self, request: HttpRequest) -> ZoneInfo:
        """The zone in which the shop's days begin; asked of the database now and then, not with each page."""
        if self._zone is None or time.monotonic() > self._zone_read + ZONE_SECONDS:
            shop = getattr(request, "shop", None) or the_shop()
            self._zone, self._zone_read = shop.zone, time.monotonic()
        return self._zone


class Sent:
    """What a request says of itself, read only where it is asked for: most of it never is."""

    def __init__(self, about: dict[str, Any]) -> None:
        self._about = about

    def get(self, name: str, default: str = "") -> str:
        """The words of one header."""
        value: str = self._about.get(IN_META[name], default)
        return value


def _host(request: HttpRequest) -> str:
    return came_from(request.META.get("HTTP_REFERER", ""), own_hosts(request))


def own_hosts(request: HttpRequest) -> set[str]:
    """The names of this shop, without a port; SuspiciousOperation when it was asked by one that is not ours."""
    return {*settings.ALLOWED_HOSTS, split_domain_port(request.get_host())[0]}
