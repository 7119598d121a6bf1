"""Answer from the kept pages, before a session, a token, the database or a template is touched."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseNotModified

from shop.kept.memory import Memory, Page
from shop.kept.pages import in_form, is_good, page_of
from shop.kept.rules import PLAIN, best_of, has_it

MEMORY = Memory(settings.MAX_KEPT_BYTES)
# What an answer “304, you have it” repeats of the page (RFC 9110, section 15.4.5).
REPEATED = ("Cache-Control", "Content-Location", "Vary")


class KeptPages:
    """Middleware, outside of all others: what it keeps has gone through them, with all their headers."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.method not in {"GET", "HEAD"}:
            return self.get_response(request)
        key = _key(request)
        page = MEMORY.get(key)
        if page is None or not is_good(page):
            answer = self.get_response(request)
            to_keep = getattr(answer, "to_keep", None)
            if to_keep is None or not isinstance(answer, HttpResponse) or _is_for_one(answer):
                return answer
            page = page_of(answer, to_keep)
            if to_keep.kept:
                MEMORY.keep(key, page)
        return _answer(request, page)


def _key(request: HttpRequest) -> tuple[object, ...]:
    """What two visitors must have in common to be shown the same page; the path says the language as well."""
    about = request.META
    host = about.get("HTTP_HOST") or (about.get("SERVER_NAME"), about.get("SERVER_PORT"))
    return request.scheme, host, request.path, about.get("QUERY_STRING", "")


def _is_for_one(answer: HttpResponse) -> bool:
    """Whether something on the way looked at who asks."""
    return bool(answer.cookies) or "cookie" in answer.get("Vary", "").lower()


def _answer(request: HttpRequest, page: Page) -> HttpResponse:
    form = best_of(request.META.get("HTTP_ACCEPT_ENCODING", ""), page.forms)
    tag, body = in_form(page, form)
    answer: HttpResponse
    if has_it(request.META.get("HTTP_IF_NONE_MATCH", ""), tag):
        answer = HttpResponseNotModified()
        for name in REPEATED:
            if name in page.headers:
                answer.headers[name] = page.headers[name]
        answer.headers["ETag"] = tag
        return answer
    answer = HttpResponse(body if request.method == "GET" else b"", headers=page.headers)
    answer.headers["ETag"] = tag
    answer.headers["Content-Length"] = str(len(body))
    if form != PLAIN:
        answer.headers["Content-Encoding"] = form
    return answer
