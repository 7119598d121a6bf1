"""What is usual on a model against what is seen on a piece: where they differ, where they agree, what is not seen.

Tolerances are common practice, no source: a length may differ by 1/16 inch and a weight by 2 per cent, since hands,
humidity and wear do as much; a count not at all. Words are the same when only capitals and spaces differ.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final, NamedTuple
from zlib import crc32

from shop.units import MM_PER_INCH, SAY_LENGTH, SAY_MASS, UnreadableMeasure, parse_length, parse_mass

LENGTH: Final = "length"
MASS: Final = "mass"
COUNT: Final = "count"
CHOICE: Final = "choice"
LENGTH_TOLERANCE: Final = MM_PER_INCH / 16  # millimetres, either way
MASS_TOLERANCE: Final = Fraction(2, 100)  # of the usual weight, either way

_RANGE = re.compile(r"(.*[^\s])\s*(?:\s+to\s+|\s?[–—]\s?)(.*)")
_BRACKET = re.compile(r"\([^()]*\)\s*$")  # the same in the other unit
_UNIT = re.compile(r"[a-z\"”″]+\.?$", re.IGNORECASE)
_COUNT = re.compile(r"[0-9]{1,4}")


class Usual(NamedTuple):
    """One thing that is usual, from the `earliest` to the `latest` year (None for an open end; `years` in words).

    `quantity` says how it is measured: length, mass or count; a choice and anything else is words.
    """

    what: str
    value: str
    source: str
    earliest: int | None = None
    latest: int | None = None
    quantity: str = ""
    years: str = ""


class Judged(NamedTuple):
    """What was made of a difference, and of which seen value it speaks."""

    seen: str
    verdict: str
    evidence: str = ""


@dataclass(frozen=True)
class Difference:
    """A piece that is not as its model usually is.

    `verdict` is None until somebody has said what to make of this very value; `earlier` speaks of another one.
    """

    what: str
    usual: tuple[Usual, ...]
    seen: str
    verdict: str | None = None
    evidence: str = ""
    earlier: Judged | None = None


class Agreed(NamedTuple):
    """A piece that is as its model usually is."""

    what: str
    usual: tuple[Usual, ...]
    seen: str


class NotSeen(NamedTuple):
    """What nobody has looked at yet."""

    what: str
    usual: tuple[Usual, ...]


@dataclass(frozen=True)
class Comparison:
    """All that follows from a model's list and what was seen, each in the order of the list."""

    differences: list[Difference] = field(default_factory=list)
    agreements: list[Agreed] = field(default_factory=list)
    not_seen: list[NotSeen] = field(default_factory=list)


def key_of(text: str) -> str:
    """The words by which two texts are the same: without capitals and needless spaces."""
    return " ".join(text.split()).casefold()


def place_of(what: str) -> str:
    """Where a thing stands on the page of what is unusual: the same whatever else is on the list."""
    return f"thing-{crc32(key_of(what).encode()):08x}"


def compare(
    usual: Iterable[Usual],
    seen: Mapping[str, str],
    judged: Mapping[str, Judged],
    earliest: int | None,
    latest: int | None,
) -> Comparison:
    """Compare what is usual on a piece made from `earliest` to `latest` with what is `seen`, by what it concerns."""
    values = {key_of(what): value for what, value in seen.items() if value.strip()}
    verdicts = {key_of(what): verdict for what, verdict in judged.items()}
    found = Comparison()
    for key, rows in in_force(usual, earliest, latest).items():
        value = values.get(key)
        if value is None:
            found.not_seen.append(NotSeen(rows[0].what, rows))
        elif is_usual(value, rows):
            found.agreements.append(Agreed(rows[0].what, rows, value))
        else:
            found.differences.append(_difference(rows, value, verdicts.get(key)))
    return found


def in_force(
    usual: Iterable[Usual], earliest: int | None, latest: int | None
) -> dict[str, tuple[Usual, ...]]:
    """What was usual in some year of the make, by the key of what it concerns; several values are alternatives."""
    found: dict[str, tuple[Usual, ...]] = {}
    for row in usual:
        begun = row.earliest is None or latest is None or row.earliest <= latest
        not_over = row.latest is None or earliest is None or earliest <= row.latest
        if begun and not_over:
            found[key_of(row.what)] = (*found.get(key_of(row.what), ()), row)
    return found


def is_usual(seen: str, usual: Iterable[Usual]) -> bool:
    """Whether what is seen is one of the usual values."""
    return any(_answers(seen, row) for row in usual)


def same(one: str, other: str, quantity: str) -> bool:
    """Whether two seen values are one and the same: exactly, in whatever unit they are written."""
    if key_of(one) == key_of(other):
        return True
    try:
        return bool(quantity) and _span(one, quantity) == _span(other, quantity)
    except UnreadableMeasure:
        return False


def check_value(text: str, quantity: str, choices: Iterable[str] = ()) -> None:
    """Raise UnreadableMeasure, with a sentence, for a usual value that could never be compared."""
    words = list(choices)
    if quantity in (LENGTH, MASS, COUNT):
        _span(text, quantity)
    elif quantity == CHOICE and key_of(text) not in map(key_of, words):
        raise UnreadableMeasure(f"“{text}” is not in the list: {', '.join(words)}.", code="choice")


def _difference(rows: tuple[Usual, ...], seen: str, judged: Judged | None) -> Difference:
    what = rows[0].what
    if judged is None:
        return Difference(what, rows, seen)
    if same(judged.seen, seen, rows[0].quantity):
        return Difference(what, rows, seen, judged.verdict, judged.evidence)
    return Difference(what, rows, seen, earlier=judged)


def _answers(seen: str, usual: Usual) -> bool:
    """A value that cannot be read as a measure is compared by its words."""
    if key_of(seen) == key_of(usual.value):
        return True
    try:
        lowest, highest = _span(usual.value, usual.quantity)
        value, also = _span(seen, usual.quantity)
    except UnreadableMeasure:
        return False
    below, above = _allowed(lowest, usual.quantity), _allowed(highest, usual.quantity)
    return lowest - below <= value and also <= highest + above


def _allowed(value: Fraction, quantity: str) -> Fraction:
    if quantity == LENGTH:
        return LENGTH_TOLERANCE
    return value * MASS_TOLERANCE if quantity == MASS else Fraction(0)


def _span(text: str, quantity: str) -> tuple[Fraction, Fraction]:
    """Lowest and highest of one measure or of a range, in millimetres, grams or pieces."""
    ends = _RANGE.fullmatch(" ".join(_BRACKET.sub("", text).split()))
    if not ends:
        value = _number(text, quantity)
        return value, value
    first, last = ends[1], ends[2]
    lowest, highest = _number(_with_unit(first, last), quantity), _number(last, quantity)
    if lowest > highest:
        raise UnreadableMeasure(f"“{text}” begins above its end. Write the smaller first.", code="reversed")
    return lowest, highest


def _with_unit(first: str, last: str) -> str:
    """“26” in “26 to 26 1/2 in” is in inches too."""
    unit = _UNIT.search(last)
    if _UNIT.search(first):
        return first
    return f"{first} {unit[0]}" if unit else (f"{first} in" if "/" in last else first)


def _number(text: str, quantity: str) -> Fraction:
    if quantity == LENGTH:
        return parse_length(text).mm
    if quantity == MASS:
        return parse_mass(text).grams
    if quantity == COUNT and _COUNT.fullmatch(text.strip()):
        return Fraction(text.strip())
    how = {LENGTH: SAY_LENGTH, MASS: SAY_MASS}.get(quantity, "Write a whole number, or 20 to 22.")
    raise UnreadableMeasure(f"“{text.strip()}” cannot be compared. {how}", code="unreadable")
