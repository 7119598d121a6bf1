"""Dates as EDTF text, and the first and last day that such a text names.

Source: Library of Congress, Extended Date/Time Format (EDTF) specification, 4 February 2019, levels 0, 1 and 2; a
profile of ISO 8601-2:2019. The specification gives no width for “about” and no months for a season. So ~ and ? widen
nothing, and the months of the codes 21 to 32 are a convention, marked as one (`Edtf.conventional`).

Where the specification is silent: a mark may follow a date with unknown digits (192X~); the ends of an interval may
be seasons or years with a letter; an interval needs one end that is named. An exponent has two figures at most.
"""

import re
from calendar import isleap
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from itertools import product
from typing import Final, NoReturn

LONGEST: Final = 500  # characters; the specification sets no bound
MONTHS: Final = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
# Code to first and last month. 21 to 32 are a convention (common practice, no source); the year's winter touches
# both its ends and nothing says which is meant, so it names the whole year. The codes from 33 count months.
NORTH: Final = {0: (3, 5), 1: (6, 8), 2: (9, 11), 3: (1, 12)}
SOUTH: Final = {0: (9, 11), 1: (1, 12), 2: (3, 5), 3: (6, 8)}
GROUPINGS: Final = {
    **{21 + turn: months for turn, months in NORTH.items()},
    **{25 + turn: months for turn, months in NORTH.items()},
    **{29 + turn: months for turn, months in SOUTH.items()},
    **{33 + turn: (3 * turn + 1, 3 * turn + 3) for turn in range(4)},
    **{37 + turn: (4 * turn + 1, 4 * turn + 4) for turn in range(3)},
    **{40 + turn: (6 * turn + 1, 6 * turn + 6) for turn in range(2)},
}
SEASONS: Final = range(21, 25)
BY_CONVENTION: Final = range(21, 33)

Day = tuple[int, int, int]


class End(StrEnum):
    """An end of a span that is no day: left open on purpose, or not known."""

    OPEN = ".."
    UNKNOWN = ""


class NotEdtf(ValueError):
    """The text is not EDTF, with a sentence that says why; `code` is unreadable, no-such-day or reversed."""

    def __init__(self, message: str, *, code: str) -> None:
        super().__init__(message)
        self.message = message
        self.code = code


@dataclass(frozen=True, slots=True)
class Edtf:
    """What an EDTF text names: its first and last day, its doubts, and the lowest level that has room for it."""

    text: str
    first: Day | End
    last: Day | End
    level: int
    approximate: bool = False
    uncertain: bool = False
    conventional: bool = False


@dataclass(frozen=True, slots=True)
class _Date:
    """Year, month and day as written, each with the marks to its left and right; "" where it is left out."""

    text: str
    year: str
    month: str
    day: str
    lefts: tuple[str, ...]
    rights: tuple[str, ...]

    @property
    def bare(self) -> str:
        return "-".join(part for part in (self.year, self.month, self.day) if part)

    @property
    def grouping(self) -> int:
        """The code of a season or another part of the year, 0 for a month."""
        code = int(self.month) if self.month.isdecimal() else 0
        return code if code in GROUPINGS else 0


_MARKED = r"([?~%]?)({})([?~%]?)"
_YEAR, _PART = _MARKED.format("-?[0-9X]{4}"), _MARKED.format("[0-9X]{2}")
_DATE = re.compile(f"{_YEAR}(?:-{_PART}(?:-{_PART})?)?")
_LETTER_YEAR = re.compile(r"Y(-?)([1-9][0-9]*)(?:E([1-9][0-9]?))?(?:S([1-9][0-9]*))?")
_SIGNIFICANT = re.compile(r"(-?)([0-9]{4})()S([1-9])")
_TIME = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})T(?:[01][0-9]|2[0-3])(?::[0-5][0-9]){2}"
    r"(?:Z|[+-](?:[01][0-9]|2[0-3])(?::[0-5][0-9])?)?"
)
# Unknown digits as level 1 has them: the last one or two of a year, a whole month, a whole day.
_FROM_THE_RIGHT = re.compile(r"-?[0-9]{2}[0-9X]X|-?[0-9]{4}-(?:XX(?:-XX)?|[0-9]{2}-XX)")


@lru_cache(maxsize=1024)
def parse(text: str) -> Edtf:
    """What `text` names. Raises NotEdtf for what the specification has no place for, and for what never was."""
    if len(text) > LONGEST:
        raise NotEdtf(f"A date of more than {LONGEST} characters is not read.", code="unreadable")
    if text[:1] in ("[", "{"):
        return _set(text)
    if "/" in text:
        return _interval(text)
    time = _TIME.fullmatch(text)
    if time:
        return _named(text, _date(time[1], text), level=0)
    return _far_year(text) or _date(text, text)


def days_in(year: int, month: int) -> int:
    """The days of a month, in the proleptic Gregorian calendar, which has a year 0."""
    if month == 2:
        return 29 if isleap(year) else 28
    return 30 if month in (4, 6, 9, 11) else 31


def _named(text: str, *parts: Edtf, level: int) -> Edtf:
    """`text` from the first of its parts to the last, with the doubts of them all."""
    return Edtf(
        text,
        _outermost((part.first for part in parts), first=True),
        _outermost((part.last for part in parts), first=False),
        max(level, *(part.level for part in parts)),
        any(part.approximate for part in parts),
        any(part.uncertain for part in parts),
        any(part.conventional for part in parts),
    )


def _outermost(ends: Iterable[Day | End], *, first: bool) -> Day | End:
    """The earliest or the latest of them; an end that is no day lies outside every day."""
    days: list[Day] = []
    for end in ends:
        if isinstance(end, End):
            return end
        days.append(end)
    return min(days) if first else max(days)


def _in_order(first: Day | End, last: Day | End) -> bool:
    return isinstance(first, End) or isinstance(last, End) or first <= last


def _interval(text: str) -> Edtf:
    sides = text.split("/")
    if len(sides) != 2 or all(side in ("", "..") for side in sides):
        _refuse(text)
    first, last = (None if side in ("", "..") else _end(side, text) for side in sides)
    start = first.first if first else End(sides[0])
    finish = last.last if last else End(sides[1])
    if not _in_order(start, finish):
        raise NotEdtf(f"“{text}” ends before it begins. Write the earlier date first.", code="reversed")
    level = 2 if "X" in text else int(not (first and last))
    whole = _named(text, *(side for side in (first, last) if side), level=level)
    return replace(whole, first=start, last=finish)


def _set(text: str) -> Edtf:
    if text[:1] + text[-1:] not in ("[]", "{}"):
        _refuse(text)
    members = text[1:-1].split(",")
    last = len(members) - 1
    found = [
        _member(member, text, may_open=at == 0, may_go_on=at == last) for at, member in enumerate(members)
    ]
    return _named(text, *found, level=2)


def _member(member: str, text: str, *, may_open: bool, may_go_on: bool) -> Edtf:
    """One member of a set: a date, two with all between them, or the first or last with no bound beyond it."""
    before, dots, after = member.partition("..")
    if not dots:
        return _date(member, text)
    if before and after:
        return _run(_date(before, text), _date(after, text), text)
    if not (after and may_open) and not (before and may_go_on):
        _refuse(text)
    date = _date(before or after, text)
    return replace(date, first=date.first if before else End.OPEN, last=End.OPEN if before else date.last)


def _run(first: Edtf, last: Edtf, text: str) -> Edtf:
    """All from `first` to `last`, which the specification wants of the same precision, so of known digits too."""
    if "X" in first.text + last.text or first.text.count("-", 1) != last.text.count("-", 1):
        _refuse(text)
    if not _in_order(first.first, last.last):
        raise NotEdtf(f"“{text}” has a span that ends before it begins.", code="reversed")
    return _named(text, first, last, level=2)


def _end(written: str, text: str) -> Edtf:
    """A date at an end of an interval, where a year has no use for significant digits."""
    if "S" in written:
        _refuse(text)
    return _far_year(written) or _date(written, text)


def _far_year(written: str) -> Edtf | None:
    """A year that begins with Y, is written with an exponent, or says how many of its figures count."""
    lettered = _LETTER_YEAR.fullmatch(written)
    parts = lettered or _SIGNIFICANT.fullmatch(written)
    if not parts:
        return None
    sign, figures, exponent, significant = parts.groups()
    digits = figures + "0" * int(exponent or 0)
    counting = int(significant or len(digits))
    if counting > len(digits) or (lettered and len(digits) < 5):
        _refuse(written)
    unknown = len(digits) - counting
    years = [int(digits[:counting] + digit * unknown) for digit in "09"]
    first, last = sorted(-year if sign else year for year in years)
    return Edtf(written, (first, 1, 1), (last, 12, 31), 2 if exponent or significant else 1)


def _date(written: str, text: str) -> Edtf:
    """Year, month or grouping, and day, with unknown digits and marks anywhere."""
    parts = _DATE.fullmatch(written)
    if not parts:
        _refuse(text)
    found = [part or "" for part in parts.groups()]
    year, month, day = found[1::3]
    date = _Date(written, year, month, day, lefts=tuple(found[0::3]), rights=tuple(found[2::3]))
    marks = "".join((*date.lefts, *date.rights))
    first, last = _days_named(date)
    return Edtf(
        written,
        first,
        last,
        _level(date),
        approximate="~" in marks or "%" in marks,
        uncertain="?" in marks or "%" in marks,
        conventional=date.grouping in BY_CONVENTION,
    )


def _level(date: _Date) -> int:
    """The lowest level with room for the date."""
    marks = "".join((*date.lefts, *date.rights))
    whole = not marks or (len(marks) == 1 and date.text.endswith(marks))
    unknown = "X" in date.bare
    beyond = date.grouping and date.grouping not in SEASONS
    if beyond or not whole or (unknown and (marks or not _FROM_THE_RIGHT.fullmatch(date.bare))):
        return 2
    return 1 if marks or unknown or date.grouping or date.year.startswith("-") else 0


def _days_named(date: _Date) -> tuple[Day, Day]:
    """The first and last day that fit what is written; NotEdtf when none does."""
    spans = {leap: _span_in(date, 2000 if leap else 2001) for leap in (False, True)}
    fitting = [year for year in _years(date.year) if spans[isleap(year)]]
    if not fitting:
        _refuse_never(date)
    (first, _), (_, last) = (spans[isleap(year)] or _refuse_never(date) for year in (fitting[0], fitting[-1]))
    return (fitting[0], *first), (fitting[-1], *last)


def _years(written: str) -> list[int]:
    """Every year that fits the digits, in order. There is no year minus nought."""
    digits = written.removeprefix("-")
    chosen = product(*("0123456789" if digit == "X" else digit for digit in digits))
    years = [int("".join(choice)) for choice in chosen]
    return [-year for year in reversed(years) if year] if written != digits else years


def _span_in(date: _Date, year: int) -> tuple[tuple[int, int], tuple[int, int]] | None:
    """The first and last month and day that fit, in a year as long as `year`."""
    if date.grouping:
        first, last = GROUPINGS[date.grouping]
        return None if date.day else ((first, 1), (last, days_in(year, last)))
    fitting = [
        (month, day)
        for month in range(1, 13)
        if _fits(month, date.month)
        for day in range(1, days_in(year, month) + 1)
        if _fits(day, date.day)
    ]
    return (fitting[0], fitting[-1]) if fitting else None


def _fits(number: int, written: str) -> bool:
    """Whether two digits, either of which may be X, can stand for `number`; what is left out fits all."""
    return not written or all(
        wanted in ("X", digit) for digit, wanted in zip(f"{number:02d}", written, strict=True)
    )


def _refuse_never(date: _Date) -> NoReturn:
    """The digits are those of a date, and there was no such day."""
    known = date.day.isdecimal() and date.month.isdecimal() and "X" not in date.year
    if known and 1 <= int(date.month) <= 12:
        message = f"There is no {int(date.day)} {MONTHS[int(date.month) - 1]} {date.year}. Write a day that month has."
        raise NotEdtf(message, code="no-such-day")
    raise NotEdtf(f"“{date.text}” names no day of the calendar.", code="unreadable")


def _refuse(text: str) -> NoReturn:
    raise NotEdtf(f"“{text}” is not a date in the Extended Date/Time Format.", code="unreadable")
