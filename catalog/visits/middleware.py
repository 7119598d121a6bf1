"""Notes each look at a listing. It stands outside of what answers, so a page that was kept ready counts too."""

import logging
import re
import time
from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.exceptions import SuspiciousOperation
from django.http import HttpRequest, HttpResponse
from django.http.request import split_domain_port
from django.utils import timezone

from catalog.visits.daybook import DayBook
from catalog.visits.rules import came_from, is_a_view
from shop.profile.queries import the_shop

log = logging.getLogger("shop.visits")

LISTING = re.compile(r"(?:/[a-z]{2})?/instruments/([1-9][0-9]{0,17})-[-\w]+/", re.ASCII)
ZONE_SECONDS = 600


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
        if found and is_a_view(request.method or "", response.status_code, request.headers):
            self._note(request, int(found[1]))
        return response

    def _note(self, request: HttpRequest, stock: int) -> None:
        if settings.SESSION_COOKIE_NAME in request.COOKIES:
            return
        visitor = f"{request.META.get('REMOTE_ADDR', '')} {request.headers.get('User-Agent', '')}"
        try:
            host = came_from(request.headers.get("Referer", ""), own_hosts(request))
            self.book.note(timezone.now().astimezone(self._shop_zone(request)).date(), stock, host, visitor)
        except SuspiciousOperation:
            return
        except OSError:  # a page is never held up by its count
            log.exception("a view of no. %s was not noted", stock)

    def _shop_zone(self, request: HttpRequest) -> ZoneInfo:
        """The zone in which the shop's days begin; asked of the database now and then, not with each page."""
        if self._zone is None or time.monotonic() > self._zone_read + ZONE_SECONDS:
            shop = getattr(request, "shop", None) or the_shop()
            self._zone, self._zone_read = shop.zone, time.monotonic()
        return self._zone


def own_hosts(request: HttpRequest) -> set[str]:
    """The names of this shop, without a port; SuspiciousOperation when it was asked by one that is not ours."""
    return {*settings.ALLOWED_HOSTS, split_domain_port(request.get_host())[0]}
