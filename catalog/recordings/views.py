"""Serve sound and film: to everybody once the piece is public, to the desk before. Whole, or in parts."""

from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from django.http import (
    FileResponse,
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    StreamingHttpResponse,
)
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.views.decorators.http import require_safe

from catalog.pictures.views import TYPES as PICTURE_TYPES
from catalog.recordings.containers import media_type
from catalog.recordings.media import played_path, poster_path
from catalog.recordings.models import Recording
from catalog.recordings.ranges import Part, Unsatisfiable, still_the_same, wanted
from catalog.recordings.tasks import order

PIECE = 64 * 1024
KEPT_LONG = "public, max-age=31536000, immutable"
KEPT_BRIEFLY = "public, max-age=60"
NOT_KEPT = "private, no-store"
GOOD = {200, 206, 304}


@require_safe
def recording(request: HttpRequest, token: str, suffix: str) -> HttpResponseBase:
    """The copy to be played: whole, or the part that is asked for. The copy never changes."""
    row, public = _find(request, token)
    if suffix != row.played_suffix:
        raise Http404
    place = played_path(row.token, row.played_suffix)
    if not place.exists():  # a folder of copies that was not restored: the worker makes it anew
        order(row, at=timezone.now())
        raise Http404
    answer = _answer(request, place, media_type(suffix, film=row.film))
    answer["Cache-Control"] = KEPT_LONG if public and answer.status_code in GOOD else NOT_KEPT
    return answer


@require_safe
def captions(request: HttpRequest, token: str) -> HttpResponse:
    """What is said, as WebVTT."""
    row, public = _find(request, token)
    return _vtt(row.captions, public)


@require_safe
def chapters(request: HttpRequest, token: str) -> HttpResponse:
    """Its chapters, as WebVTT."""
    row, public = _find(request, token)
    return _vtt(row.chapters, public)


@require_safe
def poster(request: HttpRequest, token: str, suffix: str) -> FileResponse:
    """The frame that stands for a film before it plays."""
    row, public = _find(request, token)
    if not row.film or suffix not in PICTURE_TYPES:
        raise Http404
    try:
        file = poster_path(row.token, suffix).open("rb")
    except FileNotFoundError:
        raise Http404 from None
    answer = FileResponse(file, content_type=PICTURE_TYPES[suffix])
    answer["Cache-Control"] = KEPT_LONG if public else NOT_KEPT
    return answer


def _find(request: HttpRequest, token: str) -> tuple[Recording, bool]:
    """The recording, and whether everybody may play it; Http404 when this visitor may not."""
    row = get_object_or_404(Recording.objects.select_related("instrument"), token=token)
    if row.state == Recording.State.READY and row.instrument.is_public:
        return row, True
    if row.seconds is None or not request.user.is_authenticated:
        raise Http404
    return row, False


def _vtt(text: str, public: bool) -> HttpResponse:
    if not text:
        raise Http404
    answer = HttpResponse(text, content_type="text/vtt; charset=utf-8")
    answer["Cache-Control"] = KEPT_BRIEFLY if public else NOT_KEPT
    return answer


def _answer(request: HttpRequest, place: Path, kind: str) -> HttpResponseBase:
    """The file or a part of it. Source: RFC 9110, sections 13 (conditions) and 14 (parts)."""
    facts = place.stat()
    etag, changed = f'"{facts.st_mtime_ns:x}-{facts.st_size:x}"', int(facts.st_mtime)
    answer: HttpResponseBase | None = get_conditional_response(request, etag, changed)
    if answer is None:
        answer = _whole_or_part(request, place, facts.st_size, etag, http_date(changed), kind)
    if answer.status_code in GOOD:
        answer["ETag"], answer["Last-Modified"] = etag, http_date(changed)
    answer["Accept-Ranges"] = "bytes"
    return answer


def _whole_or_part(
    request: HttpRequest, place: Path, size: int, etag: str, changed: str, kind: str
) -> HttpResponseBase:
    answer: HttpResponseBase
    try:
        part = _part_wanted(request, size, etag, changed)
    except Unsatisfiable:
        answer = HttpResponse(status=416, content_type="text/plain; charset=utf-8")
        answer["Content-Range"] = f"bytes */{size}"
        return answer
    sent = part or Part(0, size - 1)
    status = 206 if part else 200
    answer = (
        HttpResponse(status=status, content_type=kind)
        if request.method == "HEAD"
        else StreamingHttpResponse(Pieces(place.open("rb"), sent), status=status, content_type=kind)
    )
    answer["Content-Length"] = str(sent.length)
    if part:
        answer["Content-Range"] = part.told(size)
    return answer


def _part_wanted(request: HttpRequest, size: int, etag: str, changed: str) -> Part | None:
    """Only GET knows parts (section 14.2), and only of the file that the asker has begun."""
    header, if_range = request.headers.get("Range"), request.headers.get("If-Range")
    if request.method != "GET" or header is None:
        return None
    if if_range is not None and not still_the_same(if_range, etag, changed):
        return None
    return wanted(header, size)


class Pieces:
    """A part of an open file, piece by piece; never more than one piece is in memory."""

    def __init__(self, file: BinaryIO, part: Part) -> None:
        self.file, self.left = file, part.length
        file.seek(part.first)

    def __iter__(self) -> Iterator[bytes]:
        """The pieces in order."""
        while self.left > 0 and (piece := self.file.read(min(PIECE, self.left))):
            self.left -= len(piece)
            yield piece

    def close(self) -> None:
        """Close the file; called when the answer has been sent, or was broken off."""
        self.file.close()
