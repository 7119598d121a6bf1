"""The buyer's side of a private picture link: the pictures, the stock number, until when, and no more."""

from datetime import datetime, timedelta
from typing import BinaryIO, TypeVar

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.models import Photograph
from catalog.pictures.prints import print_path, whole_path
from inquiries.answering.actions import note_opened, open_link
from inquiries.answering.models import PictureLink
from inquiries.threads.views import client_address
from shop.limits.actions import within_limit
from shop.wording import moment_of

MOST_PAGES = 60  # from one address in one hour
MOST_FILES = 1200
WINDOW = timedelta(hours=1)
AnAnswer = TypeVar("AnAnswer", bound=HttpResponseBase)
HEADINGS = {
    "Cache-Control": "private, no-store",
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow, noimageindex",
}


@require_safe
def pictures_for_you(request: HttpRequest, token: str) -> HttpResponseBase:
    """The pictures of a link while it is good; one page for an address unknown, expired or taken back."""
    now = timezone.now()
    if not within_limit("pictures-for-you", client_address(request), most=MOST_PAGES, every=WINDOW, at=now):
        return _page(request, {"too_many": True}, status=429)
    link = open_link(token, at=now)
    if link is None:
        return _page(request, {}, status=404)
    if request.method == "GET":
        note_opened(link)
    return _page(request, _shown(link, token))


def _shown(link: PictureLink, token: str) -> dict[str, object]:
    """Plain values alone: where each picture is, and its shape."""
    ready = _photographs(link)
    return {
        "stock": link.instrument.stock_id,
        "until": moment_of(timezone.localtime(link.until)),
        "pictures": [
            {
                "number": number,
                "many": len(ready),
                "address": reverse("picture-for-you", args=[token, number]),
                "width": photograph.width,
                "height": photograph.height,
            }
            for number, photograph in enumerate(ready, start=1)
        ],
    }


def _page(request: HttpRequest, shown: dict[str, object], *, status: int = 200) -> HttpResponse:
    answer = render(request, "public/pictures_for_you.html", shown, status=status)
    return _headed(answer)


@require_safe
def picture_for_you(request: HttpRequest, token: str, number: int) -> HttpResponseBase:
    """One picture at its full size; the widest print while the worker has not made that yet. Never the original."""
    now = timezone.now()
    if not within_limit("picture-for-you", client_address(request), most=MOST_FILES, every=WINDOW, at=now):
        return _none(429)
    file = _file(token, number, at=now)
    if file is None:
        return _none(404)
    answer = FileResponse(file, content_type="image/jpeg")
    return _headed(answer)


def _file(token: str, number: int, *, at: datetime) -> BinaryIO | None:
    link = open_link(token, at=at)
    ready = _photographs(link) if link else []
    if not 1 <= number <= len(ready):
        return None
    return _opened(ready[number - 1])


def _opened(photograph: Photograph) -> BinaryIO | None:
    for path in (
        whole_path(photograph.token),
        print_path(photograph.token, photograph.largest, "jpg"),
    ):
        try:
            return path.open("rb")
        except FileNotFoundError:
            continue
    return None


def _photographs(link: PictureLink) -> list[Photograph]:
    return list(link.photographs.ready())


def _headed(answer: AnAnswer) -> AnAnswer:
    for name, value in HEADINGS.items():
        answer[name] = value
    return answer


def _none(status: int) -> HttpResponse:
    return HttpResponse(status=status, headers=HEADINGS)
