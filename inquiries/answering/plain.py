"""A text with what does not count taken away, and for every sign left the place that it had.

Case, accents, curled quotes, the many hyphens and signs that take no room make no other word of a name: compared are
compatibility forms without marks (Unicode Standard Annex #15), folded in case.
"""

import re
import unicodedata
from collections.abc import Sequence
from typing import NamedTuple

_WORD = re.compile(r"[^\W_]+(?:['`´‘’ʼ′][^\W_]+)*")
_QUOTES = re.compile(r"['`´‘’ʼ′]")
# Letters that stay whole when marks are taken off, as other keyboards write them.
_WHOLE = {"ø": "o", "ł": "l", "đ": "d", "æ": "ae", "œ": "oe", "ı": "i"}


class Word(NamedTuple):
    """One word: as it is compared, without what makes it a possessive, its place, and whether it has a capital."""

    word: str
    bare: str
    start: int
    end: int
    capital: bool

    def is_called(self, name: str) -> bool:
        """Whether it is `name`, perhaps as the possessor of something."""
        return name in (self.word, self.bare)


def words_of(text: str) -> list[Word]:
    """The words of a text, each with its place in it."""
    letters, places = _plain(text)
    return [
        Word(
            _QUOTES.sub("", found[0]),
            _QUOTES.sub("", _without_possessive(found[0])),
            places[found.start()],
            places[found.end() - 1] + 1,
            text[places[found.start()]].isupper(),
        )
        for found in _WORD.finditer(letters)
    ]


def said_in(words: Sequence[Word], wanted: Sequence[str]) -> list[tuple[int, int]]:
    """Where `wanted` words follow one another: from which word up to which."""
    many = len(wanted)
    return [
        (at, at + many)
        for at in range(len(words) - many + 1 if many else 0)
        if all(words[at + place].is_called(name) for place, name in enumerate(wanted))
    ]


def _without_possessive(word: str) -> str:
    return word[:-2] if len(word) > 3 and word[-1] == "s" and _QUOTES.fullmatch(word[-2]) else word


def _plain(text: str) -> tuple[str, list[int]]:
    letters: list[str] = []
    places: list[int] = []
    for place, sign in enumerate(text):
        if unicodedata.category(sign) in {"Cf", "Mn", "Me"}:
            continue
        for part in unicodedata.normalize("NFKD", sign).casefold():
            if unicodedata.category(part) not in {"Mn", "Me"}:
                kept = _WHOLE.get(part, part)
                letters.append(kept)
                places.extend([place] * len(kept))
    return "".join(letters), places
