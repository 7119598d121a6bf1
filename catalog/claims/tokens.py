"""A text taken apart: sentences, words with their places, what stands in quotation marks."""

import re
from collections.abc import Iterator
from typing import NamedTuple

# After these a full stop ends no sentence.
SHORT_FORMS = frozenset(
    {
        "c",
        "ca",
        "no",
        "nos",
        "mr",
        "mrs",
        "ms",
        "dr",
        "st",
        "in",
        "lb",
        "oz",
        "approx",
        "vol",
        "p",
        "pp",
        "co",
        "jr",
    }
)

_TOKEN = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*|\d+(?:[.,]\d+)*(?:['’]?s\b)?|(?<=\d)-(?=\d)|[^\w\s-]")
_END = re.compile(r"[.!?…]+[”\"’)]*(?=\s+[“\"‘(]?[A-Z0-9])|[.!?…]+[”\"’)]*\s*$|\n(?=\s*(?:\n|[-–•*A-Z“\"]))")
_QUOTATION = re.compile(r"“([^”]*)”|\"([^\"]*)\"")
_LAST_WORD = re.compile(r"([^\W\d_]+)$")


class Token(NamedTuple):
    """One word, number or mark: as it is compared, and where it stands in the text."""

    word: str
    start: int
    end: int

    @property
    def is_word(self) -> bool:
        """Whether it is a word or a number, and no mark."""
        return self.word[0].isalnum()


class Sentence(NamedTuple):
    """One sentence with its place in the text."""

    text: str
    start: int
    end: int

    @property
    def asks(self) -> bool:
        """Whether it is a question."""
        return self.text.rstrip('”"’)').endswith("?")


def sentences(text: str) -> Iterator[Sentence]:
    """The sentences of a text. A line that starts anew with a capital or a dash is one of its own."""
    start = 0
    for end in _END.finditer(text):
        if not _abbreviates(text, end.start()):
            yield from _sentence(text, start, end.end())
            start = end.end()
    yield from _sentence(text, start, len(text))


def _sentence(text: str, start: int, end: int) -> Iterator[Sentence]:
    bare = text[start:end].strip()
    if bare:
        begins = text.index(bare, start)
        yield Sentence(bare, begins, begins + len(bare))


def _abbreviates(text: str, stop: int) -> bool:
    """Whether the full stop at `stop` belongs to a short form or an initial; one that ends the text does not."""
    before = _LAST_WORD.search(text[:stop])
    if not before or text[stop : stop + 1] != "." or not text[stop + 1 :].strip():
        return False
    word = before[1]
    return word.lower() in SHORT_FORMS or (len(word) == 1 and word.isupper() and word != "I")


def tokens(text: str, offset: int = 0) -> list[Token]:
    """Words, numbers and marks in order; a hyphen parts words and is none itself, except between figures."""
    return [
        Token(found[0].lower().replace("’", "'"), found.start() + offset, found.end() + offset)
        for found in _TOKEN.finditer(text)
    ]


def quotations(text: str) -> list[tuple[int, int]]:
    """Where two words or more stand in quotation marks; one word alone is a name, not a saying."""
    return [
        (found.start(), found.end())
        for found in _QUOTATION.finditer(text)
        if len((found[1] or found[2] or "").split()) > 1
    ]
