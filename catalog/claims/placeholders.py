"""What stands in a pattern for many words: a part, the instrument, a year, a number, a paper."""

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from catalog.claims.naming import PAPERS, Names, parts_at
from catalog.claims.record import Said
from catalog.claims.tokens import Token
from catalog.dating.reading import UnreadableDate, read_date

MOST_BETWEEN = 3
# Words that never stand between “original” and the part it speaks of, or between a year and the instrument.
NOT_BETWEEN = frozenset(
    {
        "is", "are", "was", "were", "be", "been", "has", "have", "had", "a", "an", "the", "its", "his", "her", "their",
        "owner", "owners", "owner's", "buyer", "price", "cost", "list", "order", "catalogue", "catalog", "sale",
        "retail", "intention", "design", "says", "for", "with", "in", "on", "of", "to", "from", "at", "by", "than",
        "and", "or", "but", "that", "which", "who", "as", "shows", "lists", "not", "no", "like", "case's",
    }
)  # fmt: skip
LIST_JOINTS = frozenset(
    {",", "and", "or", "nor", "&", "both", "the", "its", "a", "as", "well", "also", "original"}
)
NUMBER_WORDS = frozenset(
    {
        "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
        "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty", "thirty", "forty", "fifty",
        "sixty", "seventy", "eighty", "ninety", "hundred", "thousand", "dozen", "handful", "score",
    }
)  # fmt: skip
ABOUT = frozenset({"about", "around", "circa", "ca", "c", "approximately", "roughly", "near", "nearly"})
BEFORE_A_YEAR = frozenset(
    {
        "the", "early", "mid", "late", "spring", "summer", "autumn", "fall", "winter", "of", "between", "from",
        "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
        "december", "beginning", "end", "year", ".",
    }
)  # fmt: skip
PARTS_OF_DECADE = ("early", "mid", "late")
SPAN = frozenset({"or", "to", "and", "-", "–", "/", "through"})


class Caught(NamedTuple):
    """What placeholders caught in one match."""

    said: Said = Said()

    @property
    def near(self) -> bool:
        """Whether a year was named as about right."""
        return self.said.near

    def joined(self, other: "Caught") -> "Caught":
        """Both together; what is not empty wins."""
        filled = {key: value for key, value in other.said._asdict().items() if value}
        return Caught(self.said._replace(**filled))


Catch = Iterator[tuple[int, Caught]]


def part(words: Sequence[Token], at: int, names: Names, first: bool) -> Catch:
    """A part, or several in a row, with up to three words before the first (“original engraved tailpiece”)."""
    for start in [at] if first else _after_others(words, at):
        for end, slugs in parts_at(words, start, names):
            end, slugs = _further_parts(words, end, slugs, names)
            yield end, Caught(Said(parts=slugs))
            if first:
                for later in _after_place(words, end):
                    yield later, Caught(Said(parts=slugs))
            return


def _after_others(words: Sequence[Token], at: int) -> Iterator[int]:
    for start in range(at, min(len(words), at + MOST_BETWEEN + 1)):
        yield start
        if not words[start].is_word or words[start].word in NOT_BETWEEN:
            return


def _further_parts(
    words: Sequence[Token], end: int, slugs: tuple[str, ...], names: Names
) -> tuple[int, tuple[str, ...]]:
    """“Neck, tuners and the tailpiece”: on through joints and at most two words before each further part."""
    while True:
        at = end
        while at < len(words) and words[at].word in LIST_JOINTS:
            at += 1
        if at == end:
            return end, slugs
        for start in range(at, min(len(words), at + 3)):
            if found := parts_at(words, start, names):
                end, slugs = found[0][0], (*slugs, *(slug for slug in found[0][1] if slug not in slugs))
                break
            if not words[start].is_word or words[start].word in NOT_BETWEEN:
                return end, slugs
        else:
            return end, slugs


def _after_place(words: Sequence[Token], end: int) -> Iterator[int]:
    """“The tuners on this banjo are …”: past a place of at most four words."""
    if end < len(words) and words[end].word in {"on", "of", "in", "at"}:
        for later in range(end + 2, min(len(words), end + 6)):
            if not words[later - 1].is_word:
                return
            yield later


def kind(words: Sequence[Token], at: int, names: Names, first: bool) -> Catch:
    """The instrument, by kind, maker or model, with up to three words before it."""
    for start in [at] if first else _after_others(words, at):
        for end in range(min(len(words), start + 6), start, -1):
            if tuple(token.word for token in words[start:end]) in names.kinds:
                yield end, Caught()
                return


def year(words: Sequence[Token], at: int, names: Names, first: bool) -> Catch:
    """A year, a decade or a span, with what stands before it (about, late, the spring of)."""
    start = at
    while start < len(words) and words[start].word in ABOUT | BEFORE_A_YEAR:
        start += 1
    before = {token.word for token in words[at:start]}
    if start >= len(words) or not (span := _years(words[start].word, before)):
        return
    end, (earliest, latest) = start + 1, span
    if end + 1 < len(words) and words[end].word in SPAN and (last := _later(words[end + 1].word, earliest)):
        end, latest = end + 2, last
    yield end, Caught(Said(earliest=earliest, latest=latest, near=bool(ABOUT & before)))


def _years(word: str, before: set[str]) -> tuple[int, int] | None:
    decade = word.endswith("s")
    figures = word.rstrip("s").rstrip("'")
    if not (figures.isdecimal() and len(figures) == 4 and 1500 <= int(figures) <= 2099):
        return None
    number = int(figures)
    if not decade:
        return number, number
    part_of = next((word for word in PARTS_OF_DECADE if word in before), "")
    try:
        made = read_date(f"{part_of} {figures}s")
    except UnreadableDate:  # “1900s” may be ten years or a hundred; the wider reading claims less
        return number, number + 99
    return (made.earliest, made.latest) if made.earliest and made.latest else None


def _later(word: str, earliest: int) -> int | None:
    """The end of a span, in two figures or four; None when it does not come after."""
    if not word.isdecimal() or len(word) not in {2, 4}:
        return None
    number = int(word) if len(word) == 4 else earliest // 100 * 100 + int(word)
    return number if earliest < number <= 2099 else None


def number(words: Sequence[Token], at: int, names: Names, first: bool) -> Catch:
    """A figure, or a number in words."""
    start = at
    if words[at].word in {"a", "about", "some"} and at + 1 < len(words):
        start += 1
    end = start
    while end < len(words) and (words[end].word in NUMBER_WORDS or _is_count(words[end].word)):
        end += 1
    if end > start:
        yield end, Caught(Said(number=" ".join(token.word for token in words[start:end])))


def _is_count(word: str) -> bool:
    return word.replace(",", "").isdecimal()


def paper(words: Sequence[Token], at: int, names: Names, first: bool) -> Catch:
    """A paper, by what the trade calls it, with up to three words before it."""
    for start in [at] if first else _after_others(words, at):
        for end in range(min(len(words), start + 3), start, -1):
            called = " ".join(token.word for token in words[start:end])
            if called in PAPERS:
                yield end, Caught(Said(papers=PAPERS[called]))
                return


PLACEHOLDERS: dict[str, Callable[[Sequence[Token], int, Names, bool], Catch]] = {
    "{part}": part,
    "{kind}": kind,
    "{year}": year,
    "{number}": number,
    "{paper}": paper,
}

SAID_OF = {
    "{part}": "A part of the sheet, or several in a row, with up to three words before it.",
    "{kind}": "The instrument: its kind, its maker or its model.",
    "{year}": "A year, a decade or a span, with “about” or a season before it.",
    "{number}": "A figure, or a number in words.",
    "{paper}": "A paper that may come along: a receipt, a bill of sale, letters, papers.",
}
