"""Dates as a dealer types them, kept as EDTF beside the first and last year they name.

EDTF: Library of Congress, Extended Date/Time Format specification, 4 February 2019; all of it is read (edtf.py).
The specification gives no width for “about”, so none is made up here: c. 1931 names the year 1931 alone.
"""

from dataclasses import dataclass
from typing import Final

from catalog.dating.edtf import Day, End, parse
from catalog.dating.saying import as_said, in_words
from catalog.dating.typed import HOW_TO_WRITE, UnreadableDate, edtf_of

__all__ = ["HOW_TO_WRITE", "MadeDate", "UnreadableDate", "read_date", "typed_as_said", "understood"]

# No instrument that the shop could have is older, and what lies far ahead is a slip of the finger.
EARLIEST: Final = 1000
LATEST: Final = 2100


@dataclass(frozen=True, slots=True)
class MadeDate:
    """A date of make: EDTF, the first and last year it names (None where it is open), and the words as typed."""

    edtf: str
    earliest: int | None
    latest: int | None
    text: str

    @property
    def approximate(self) -> bool:
        """True when the date is only near the truth: ~ or %."""
        return "~" in self.edtf or "%" in self.edtf

    @property
    def uncertain(self) -> bool:
        """True when the source of the date is in doubt: ? or %."""
        return "?" in self.edtf or "%" in self.edtf


def read_date(text: str) -> MadeDate:
    """Read a date as a dealer types it, or as EDTF. The words as typed are kept.

    Raises UnreadableDate, with a sentence, for a reversed span, a day that does not exist, a date that can be
    read in two ways, a year outside 1000 to 2100, and whatever is no date.
    """
    edtf = edtf_of(" ".join(text.split()))
    named = parse(edtf)
    years = _year_of(named.first), _year_of(named.last)
    beyond = [year for year in years if year is not None and not EARLIEST <= year <= LATEST]
    if beyond:
        message = (
            f"The year {beyond[0]} is not one of {EARLIEST} to {LATEST}. Write the year with four digits."
        )
        raise UnreadableDate(message, code="beyond")
    return MadeDate(edtf, *years, text.strip())


def understood(made: MadeDate) -> str:
    """Say a date back in words, with every choice that the shop itself has made in reading it."""
    return in_words(made.edtf, made.text)


def typed_as_said(typed: str) -> str:
    """A date that is kept as it was typed and no more, for a buyer; what cannot be read is shown as it is."""
    try:
        return as_said(typed, read_date(typed).edtf)
    except UnreadableDate:
        return typed


def _year_of(end: Day | End) -> int | None:
    return None if isinstance(end, End) else end[0]
