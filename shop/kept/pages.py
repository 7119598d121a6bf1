"""A page that is made once and kept: the decorator that a public view wears, and how its answer is put by."""

import gzip
import hashlib
import re
import time
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import wraps
from typing import Any

import brotli
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.utils import timezone
from django.utils.cache import patch_vary_headers

from shop.kept.memory import Page
from shop.kept.rules import PLAIN, is_plain_address
from shop.kept.stamps import ANYTHING, EVERYTHING, Stamp, look_at, open_until

LONGEST_QUERY = 300
LONGEST = timedelta(hours=12)  # a form on a page carries when it was shown, and is taken for a day
# A page that is kept is packed once, as small as can be; that takes longer than making it. Others are packed quickly.
KEPT_QUALITY, QUICK_QUALITY = 11, 5
PACKERS: dict[str, Callable[[bytes, int], bytes]] = {
    "br": lambda body, quality: bytes(brotli.compress(body, quality=quality)),
    "gzip": lambda body, quality: gzip.compress(body, min(quality, 9), mtime=0),
}
TEXTS = ("text/", "application/xml", "application/atom+xml", "application/json", "image/svg+xml")

# White space around the end of a line; what stands in these two elements is left as it is.
INDENTS = re.compile(rb"(<(pre|textarea)\b.*?</\2>)|[ \t\r]*\n\s*", re.S)

View = Callable[..., HttpResponseBase]
# Names the stamps that a page rests on; each stamp is looked at as it is named, before the next one is asked for.
DependsOn = Callable[..., Iterable[str]]
# The next instant at which what a page shows turns by itself; None when there is none.
Until = Callable[..., datetime | None]


@dataclass(frozen=True)
class ToKeep:
    """What an answer rests on, and how long it is good; `kept` is False for an address that fills no memory."""

    rests_on: dict[str, Stamp | None]
    anything: Stamp | None
    until: float
    kept: bool


def kept(
    *, depends_on: DependsOn, until: Until | None = None, query: Collection[str] = ()
) -> Callable[[View], View]:
    """Have a public view's page kept until a thing changes that `depends_on(request, **parts)` names.

    It is made anew as well after half a day, when the day ends in the shop's zone, and at `until(at, **parts)`.
    `query` names what may stand after the question mark; an address with more is answered and not kept. The view
    must answer everybody alike.
    """

    def wear(view: View) -> View:
        @wraps(view)
        def watched(request: HttpRequest, **parts: Any) -> HttpResponseBase:
            if request.method not in {"GET", "HEAD"}:
                return view(request, **parts)
            now, anything = timezone.now(), look_at(ANYTHING)
            rests_on = {EVERYTHING: look_at(EVERYTHING)}
            for name in depends_on(request, **parts):
                rests_on[name] = look_at(name)
            turns = until(now, **parts) if until else None
            answer = view(request, **parts)
            if _is_for_everybody(answer):
                ends = _ends(now, turns, open_until(rests_on))
                plain = is_plain_address(request.META.get("QUERY_STRING", ""), query, LONGEST_QUERY)
                answer.to_keep = ToKeep(rests_on, anything, ends, plain)  # type: ignore[attr-defined]
            return answer

        watched.depends_on = depends_on  # type: ignore[attr-defined]
        return watched

    return wear


def _is_for_everybody(answer: HttpResponseBase) -> bool:
    return answer.status_code == 200 and not answer.streaming and not answer.cookies


def _ends(now: datetime, turns: datetime | None, under_way: float | None) -> float:
    """The first of: half a day, midnight in the shop's zone, the next turn, the minute of a deed under way."""
    tomorrow = timezone.localdate(now) + timedelta(days=1)
    midnight = datetime.combine(tomorrow, datetime.min.time(), timezone.get_current_timezone())
    ends = [moment.timestamp() for moment in (now + LONGEST, midnight, turns) if moment is not None]
    return min([*ends, under_way] if under_way is not None else ends)


def page_of(answer: HttpResponse, to_keep: ToKeep) -> Page:
    """The page of an answer that is for everybody."""
    patch_vary_headers(answer, ["Accept-Encoding"])
    answer["Cache-Control"] = "no-cache"  # a browser may keep it, and asks each time whether it is still good
    kind, body = answer.get("Content-Type", ""), bytes(answer.content)
    if kind.startswith("text/html"):
        body = without_indents(body)
    return Page(
        headers={name: value for name, value in answer.items() if name not in {"Content-Length", "ETag"}},
        mark=hashlib.blake2b(body, digest_size=12).hexdigest(),
        plain=body,
        forms=("br", "gzip", PLAIN) if kind.startswith(TEXTS) else (PLAIN,),
        quality=KEPT_QUALITY if to_keep.kept else QUICK_QUALITY,
        rests_on=to_keep.rests_on,
        until=to_keep.until,
        anything=to_keep.anything,
    )


def in_form(page: Page, form: str) -> tuple[str, bytes]:
    """The tag of a page in one form, and its bytes; it is packed when it is first asked for in that form."""
    if form == PLAIN:
        return f'"{page.mark}"', page.plain
    if form not in page.packed:
        page.packed[form] = PACKERS[form](page.plain, page.quality)
    return f'"{page.mark}-{form}"', page.packed[form]


def without_indents(page: bytes) -> bytes:
    """The same page without the indents and empty lines of its templates, which are a fifth of it."""
    return INDENTS.sub(lambda found: found[1] or b"\n", page)


def is_good(page: Page) -> bool:
    """Whether nothing that the page rests on has changed, by one look as long as nothing at all has."""
    if time.time() >= page.until:
        return False
    anything = look_at(ANYTHING)
    if anything == page.anything:
        return True
    if not all(look_at(name) == seen for name, seen in page.rests_on.items()):
        return False
    page.anything = anything
    return True
