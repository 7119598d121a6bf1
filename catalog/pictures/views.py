"""Serve the prints: to everybody once the piece is public, to the desk before."""

from typing import BinaryIO

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.pictures.intake import original_path
from catalog.pictures.models import Photograph
from catalog.pictures.prints import SUFFIXES, WIDTHS, detail_path, has_detail, print_path
from catalog.pictures.tasks import look_closer

TYPES = {"avif": "image/avif", "webp": "image/webp", "jpg": "image/jpeg"}


@require_safe
def picture(request: HttpRequest, token: str, width: int, suffix: str) -> HttpResponseBase:
    """One print. A print never changes, so a public one may be kept by anybody for a year."""
    photograph = get_object_or_404(Photograph.objects.select_related("instrument"), token=token)
    public = photograph.instrument.is_public
    if not public and not request.user.is_authenticated:
        raise Http404
    if suffix not in SUFFIXES or width not in photograph.widths:
        raise Http404
    try:
        file = print_path(token, width, suffix).open("rb")
    except FileNotFoundError:  # a folder of prints that was not restored is no error page for a visitor
        raise Http404 from None
    return _print(file, TYPES[suffix], public=public)


@require_safe
def picture_detail(request: HttpRequest, token: str) -> HttpResponseBase:
    """A photograph to be looked at closely; 202 while it is being made, 404 where the prints have all there is.

    The first who asks puts it on the worker's list, once for each photograph and only while the piece is public.
    """
    photograph = get_object_or_404(Photograph.objects.select_related("instrument"), token=token)
    public = photograph.instrument.is_public
    if not public and not request.user.is_authenticated:
        raise Http404
    try:
        return _print(detail_path(token).open("rb"), TYPES["webp"], public=public)
    except FileNotFoundError:
        pass
    if not public or not _more_to_see(photograph):
        raise Http404
    look_closer.enqueue(at=timezone.now(), key=f"detail-{photograph.pk}", photograph=photograph.pk)
    return HttpResponse(status=202, headers={"Cache-Control": "no-store", "Retry-After": "1"})


def _more_to_see(photograph: Photograph) -> bool:
    if photograph.state != Photograph.State.READY or photograph.largest < WIDTHS[-1]:
        return False
    try:
        return has_detail(original_path(photograph.sha256, photograph.suffix))
    except (OSError, ValueError):  # an original that was not restored, or a head that is damaged
        return False


def _print(file: BinaryIO, kind: str, *, public: bool) -> FileResponse:
    response = FileResponse(file, content_type=kind)
    response["Cache-Control"] = "public, max-age=31536000, immutable" if public else "private, no-store"
    return response
