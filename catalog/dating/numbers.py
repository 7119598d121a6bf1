"""A number as it stands on an instrument: what comes before its figures, and the figures.

How numbers are written on instruments is common practice, no source. What can be read in two ways is not read.
"""

import re
from collections.abc import Iterable
from typing import NamedTuple, Protocol, TypeVar

# “No. 4417” and “# 4417” carry no prefix: the word says only that a number follows.
_CALLED = re.compile(r"(?:no|nr|number)(?:\.|\b|(?=\d))|№|#", re.IGNORECASE)
_PREFIX = re.compile(r"[A-Za-z][A-Za-z .\-]*")
_FIGURES = re.compile(
    r"(?P<figures>\d{1,3}(?:[ .,']\d{3})+|\d{1,18})(?:\s*[-/]\s*(?P<within>\d{1,4}))?", re.ASCII
)
_SPACES = str.maketrans("", "", " .-")


class Figures(NamedTuple):
    """What a number is looked up by: its prefix, bare and in capitals, and its figures.

    `within` is what stands behind a stroke: the piece within the batch, which no table counts by.
    """

    prefix: str
    figure: int
    within: str = ""


class Line(Protocol):
    """A line of a table: from the first number to the last, with what stands before the figures."""

    @property
    def prefix(self) -> str:
        """What stands before the figures."""

    @property
    def first(self) -> int:
        """The first number."""

    @property
    def last(self) -> int:
        """The last number."""


L = TypeVar("L", bound=Line)


def bare(prefix: str) -> str:
    """A prefix as it is compared: without spaces, dots and hyphens, in capitals."""
    return prefix.translate(_SPACES).upper()


def split_number(text: str) -> Figures | None:
    """Prefix and figures of a number as found; None when it cannot be read without a guess.

    “C 12345” is C and 12345; “79 402” and “79,402” are 79402; “1188-9” is number 1188, piece 9 of the batch.
    A digit that cannot be made out, figures in groups that are not of three, and letters behind the figures
    leave nothing to look up.
    """
    words = " ".join(text.split())
    called = _CALLED.match(words)
    words = words[called.end() :].strip() if called else words
    before = _PREFIX.match(words)
    figures = _FIGURES.fullmatch(words[before.end() :] if before else words)
    if figures is None:
        return None
    digits = re.sub(r"\D", "", figures["figures"], flags=re.ASCII)
    return Figures(bare(before[0]) if before else "", int(digits), figures["within"] or "")


def lines_that_hold(number: Figures, lines: Iterable[L]) -> list[L]:
    """Every line with that prefix and that figure in it. None is “not in the table”: the nearest is no answer."""
    return [
        line
        for line in lines
        if bare(line.prefix) == number.prefix and line.first <= number.figure <= line.last
    ]
