"""Take sound and film in as it came: known by its content, kept under its hash, never changed.

Only the head is read here; the worker plays the whole of it.
"""

from collections.abc import Sequence
from pathlib import Path

import av
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile

from catalog.recordings.containers import (
    Container,
    coded_as,
    container_of,
    film_in,
    is_cut_short,
    opened,
    sound_in,
)
from catalog.recordings.models import Recording
from shop import keeping
from shop.keeping import Kept, kept_path
from shop.refusal import Refused

TAKEN = "WAV, FLAC, MP3, MP4 or WebM"
PLAYABLE = "Save it as MP4 with H.264 film and AAC sound, then send that."


def keep_recording(upload: "UploadedFile[bytes]") -> tuple[Kept, Recording.What]:
    """Check the upload and keep it under its hash; what it is. Raises Refused, by its own name; keeps nothing then."""
    found: list[Recording.What] = []

    def check(file: Path, name: str) -> str:
        suffix, what = _checked(file, name)
        found.append(what)
        return suffix

    kept = keeping.keep(
        upload, Path(settings.RECORDINGS_DIR), most_bytes=settings.MAX_RECORDING_BYTES, check=check
    )
    return kept, found[0]


def recording_path(sha256: str, suffix: str) -> Path:
    """Where a recording lies as it was received: never below anything that is served."""
    return kept_path(Path(settings.RECORDINGS_DIR), sha256, suffix)


def _checked(file: Path, name: str) -> tuple[str, Recording.What]:
    container = container_of(file)
    if container is None:
        raise Refused(f"{name} is no sound or film that can be read. Send {TAKEN}.", code="wrong-type")
    cut_short = f"{name} is cut short or damaged. Copy it again from where it came."
    if is_cut_short(file, container):
        raise Refused(cut_short, code="truncated")
    try:
        with opened(file, container) as given:
            film, sound = film_in(given), sound_in(given)
            codings = [(coded_as(one), one.type) for one in (film, sound) if one is not None]
    except (av.error.FFmpegError, ValueError, EOFError):
        raise Refused(cut_short, code="truncated") from None
    if not codings:
        raise Refused(f"{name} holds neither sound nor film.", code="empty")
    _refuse_unplayable(container, codings, name)
    if film is None:
        return ("m4a" if container.reader == "mov" else container.suffix), Recording.What.SOUND
    return container.suffix, Recording.What.FILM


def _refuse_unplayable(container: Container, codings: Sequence[tuple[str, str]], name: str) -> None:
    for coding, kind in codings:
        if coding not in (container.film if kind == "video" else container.sound):
            held = "film" if kind == "video" else "sound"
            raise Refused(
                f"{name} holds {held} that many browsers cannot play ({coding}). {PLAYABLE}", code="coding"
            )
