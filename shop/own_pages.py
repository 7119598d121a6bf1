"""Forms that anybody may send work without a cookie: they must have been sent from a page of ours.

A public page is made once and kept for everybody (shop/kept), so it can carry no token of one visitor, and it sets no
cookie at all. The token against forgery guards what is done in somebody's name; a stranger's question is done in
nobody's: no log-in is read, and whoever wanted to could send the same words by hand. So these forms ask the browser
instead where they were sent from, which no page elsewhere can make it misstate; beside that stand the limit on how
often an address may send, the seal with its time, and the field that no person sees. A browser that says nothing
about where it comes from is heard: it is an old one, or a careful one, and turning it away would guard nothing more.

Sources: Fetch Metadata Request Headers (W3C), section 2.4; RFC 6454, section 7 (Origin).
"""

from collections.abc import Callable
from functools import wraps
from typing import Any
from urllib.parse import urlsplit

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt

View = Callable[..., HttpResponseBase]
OURS = {"same-origin", "none"}  # none: the visitor's own doing, such as loading the answer again


def from_own_pages(view: View) -> View:
    """A public form: what is sent to it from a page elsewhere is refused with a sentence; no token is asked for."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **parts: Any) -> HttpResponseBase:
        if request.method == "POST" and not sent_from_here(request):
            return render(request, "403_elsewhere.html", status=403)
        return view(request, *args, **parts)

    return csrf_exempt(guarded)


def sent_from_here(request: HttpRequest) -> bool:
    """Whether the browser says that one of our pages sent this, or says nothing."""
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None:
        return site in OURS
    origin = request.headers.get("Origin") or request.headers.get("Referer")
    return origin is None or urlsplit(origin).netloc == request.get_host()
