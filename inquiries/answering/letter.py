"""The text of a letter being written, from values alone: a sentence put in, places marked, the text named."""

import hashlib
from collections.abc import Iterable
from typing import NamedTuple

from inquiries.threads.stops import Stop


class Piece(NamedTuple):
    """A piece of a text; the number of its note where it is marked, 0 where it is not."""

    text: str
    note: int = 0


class Marked(NamedTuple):
    """A text with its places marked, and what is said of each, by its number; whether they give way."""

    pieces: tuple[Piece, ...]
    notes: tuple[str, ...]
    give_way: bool = False


def put_in(text: str, sentence: str, at: int | None = None) -> str:
    """`sentence` in the text at the place `at`, or at its end, with a blank on either side where one is wanted."""
    place = len(text) if at is None else max(0, min(at, len(text)))
    before, after = text[:place], text[place:]
    lead = " " if before and not before[-1].isspace() else ""
    trail = " " if after and not after[0].isspace() and after[0] not in ".,;:!?" else ""
    return f"{before}{lead}{sentence}{trail}{after}"


def marked(text: str, stops: Iterable[Stop]) -> Marked:
    """The text in pieces; the same sentence stands once among the notes. A place within another is that other."""
    stops = sorted(stops)
    notes = tuple(dict.fromkeys(stop.why for stop in stops))
    pieces, done = [], 0
    for stop in stops:
        start = max(stop.start, done)
        if start >= stop.end:
            continue
        pieces += [Piece(text[done:start]), Piece(text[start : stop.end], notes.index(stop.why) + 1)]
        done = stop.end
    pieces.append(Piece(text[done:]))
    kept = tuple(piece for piece in pieces if piece.text)
    return Marked(kept, notes, bool(stops) and all(stop.gives_way for stop in stops))


def named(text: str) -> str:
    """A name of just this text: what was let go on is this text and no other."""
    return hashlib.sha256("\n".join(text.split("\r\n")).encode()).hexdigest()
