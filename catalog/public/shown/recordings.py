"""Sound and film as a page shows them: what a player needs, and the same for those who only read."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from urllib.parse import urlsplit

from django.urls import reverse

from catalog.recordings.containers import media_type
from catalog.recordings.models import Recording
from catalog.recordings.rules import drawn
from catalog.recordings.vtt import clock, read


@dataclass(frozen=True)
class Chapter:
    """A place in a recording: its title, when it begins, and the address that plays from there."""

    title: str
    clock: str
    seconds: str
    address: str


@dataclass(frozen=True)
class ShownRecording:
    """One recording. `wave` is the path of its drawing; `said` are its captions, to be read beside a sound."""

    key: str
    title: str
    film: bool
    length: str
    seconds: Decimal
    src: str
    type: str
    poster: str
    width: int | None
    height: int | None
    wave: str
    captions: str
    chapters_track: str
    chapters: list[Chapter]
    said: list[str]


def recordings(rows: Iterable[Recording]) -> list[ShownRecording]:
    """Those that are ready, in the dealer's order."""
    return [_shown(row) for row in rows if row.state == Recording.State.READY]


def host_of(address: str) -> str:
    """Whose address it is, as people say it: films.example."""
    return (urlsplit(address).hostname or "").removeprefix("www.")


def _shown(row: Recording) -> ShownRecording:
    src = row.address
    return ShownRecording(
        key=f"recording-{row.token}",
        title=row.title or row.get_what_display(),
        film=row.film,
        length=row.length,
        seconds=row.seconds or Decimal(0),
        src=src,
        type=media_type(row.played_suffix, film=row.film),
        poster=row.poster_address,
        width=row.width,
        height=row.height,
        wave="" if row.film or not any(row.peaks) else drawn(row.peaks),
        captions=reverse("recording-captions", args=[row.token]) if row.captions else "",
        chapters_track=reverse("recording-chapters", args=[row.token]) if row.chapters else "",
        chapters=_chapters(row.chapters, src),
        said=[cue.words for cue in read(row.captions)] if row.captions and not row.film else [],
    )


def _chapters(text: str, src: str) -> list[Chapter]:
    """Each with a media fragment for its address. Source: W3C, Media Fragments URI 1.0, section 4.2.1."""
    found = []
    for cue in read(text) if text else []:
        seconds = f"{cue.begins / 1000:g}"
        whole = clock(cue.begins // 1000 * 1000)
        found.append(Chapter(cue.words, whole, seconds, f"{src}#t={seconds}"))
    return found
