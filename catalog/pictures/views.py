"""Serve the prints: to everybody once the piece is public, to the desk before."""

from django.http import FileResponse, Http404, HttpRequest
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from catalog.pictures.models import Photograph
from catalog.pictures.prints import SUFFIXES, print_path

TYPES = {"avif": "image/avif", "webp": "image/webp", "jpg": "image/jpeg"}


@require_safe
def picture(request: HttpRequest, token: str, width: int, suffix: str) -> FileResponse:
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
    response = FileResponse(file, content_type=TYPES[suffix])
    response["Cache-Control"] = "public, max-age=31536000, immutable" if public else "private, no-store"
    return response
