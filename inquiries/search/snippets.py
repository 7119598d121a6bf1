"""The place of a letter where a word stands that was looked for, from values alone."""

import re
import unicodedata
from collections.abc import Collection, Iterator
from typing import NamedTuple

from catalog.search.rules import LETTERS_AND_FIGURES, words_of

BEFORE, LENGTH = 70, 240
GAP = "…"


class Piece(NamedTuple):
    """A stretch of text; `hit` where it is a word that was looked for."""

    text: str
    hit: bool = False


def snippet(text: str, words: Collection[str]) -> list[Piece]:
    """The first place where one of the words stands, with what stands around it; nothing where none does."""
    plain = unicodedata.normalize("NFC", " ".join(text.split()))
    if not (first := next(_hits(plain, words), None)):
        return []
    start = _edge(plain, first.start() - BEFORE)
    end = len(plain) if len(plain) <= start + LENGTH else plain.rfind(" ", start, start + LENGTH)
    end = max(end, first.end())
    pieces, place = [], start
    for hit in _hits(plain, words):
        if hit.end() > end:
            break
        pieces += [Piece(plain[place : hit.start()]), Piece(hit.group(), hit=True)]
        place = hit.end()
    pieces.append(Piece(plain[place:end]))
    ends = [Piece(GAP)] if start else [], [Piece(GAP)] if end < len(plain) else []
    return [piece for piece in [*ends[0], *pieces, *ends[1]] if piece.text]


def _hits(text: str, words: Collection[str]) -> Iterator[re.Match[str]]:
    return (
        found for found in LETTERS_AND_FIGURES.finditer(text) if set(words_of(found.group())) & set(words)
    )


def _edge(text: str, place: int) -> int:
    """The beginning of the word that follows a place, or of the text."""
    return 0 if place <= 0 else text.find(" ", place) + 1
