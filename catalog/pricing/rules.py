"""Then and now: a price of one year in the money of another, by an index; which list price speaks for a piece.

Nothing is extrapolated: a year without a figure has no answer but a sentence. The result is a change of money
and never a valuation.
"""

import re
from collections.abc import Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise
from typing import Final, NamedTuple

from shop.wording import gettext as _

MOST_ERRORS: Final = 8
SUDDEN: Final = 100  # times from one figure to the next: a comma read as what it is not. Our own choice.

_YEAR = re.compile(r"[0-9]{4}")
_VALUE = re.compile(r"[0-9]{1,8}(?:[.,][0-9]{1,4})?")


class Speaking(NamedTuple):
    """The year whose list prices speak for a piece; `within` says whether it is one of the years of its make."""

    year: int
    within: bool


class NoFigure(ValueError):
    """The index has no figure for a year; the message says which."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class UnreadableFigures(ValueError):
    """A text of figures that cannot be read; `messages` has a sentence for each line that is at fault."""

    def __init__(self, messages: list[str]) -> None:
        super().__init__(" ".join(messages))
        self.messages = messages


class Figures(NamedTuple):
    """The two figures of an index that a change of money rests on, with their years."""

    then_year: int
    then: Decimal
    now_year: int
    now: Decimal


def in_money_of(amount: Decimal, then: Decimal, now: Decimal, *, digits: int) -> Decimal:
    """`amount` times `now` over `then`, rounded half up once to `digits` decimals.

    The way the US Bureau of Labor Statistics and the Federal Reserve Bank of Minneapolis reckon with annual averages.

    >>> in_money_of(Decimal("0.25"), Decimal("24.1"), Decimal("245.120"), digits=2)
    Decimal('2.54')
    """
    step = Decimal(1).scaleb(-digits)
    return (amount * now / then).quantize(step, rounding=ROUND_HALF_UP)


def figures(index: Mapping[int, Decimal], name: str, year: int) -> Figures:
    """The figures for `year` and for the latest year of the index called `name`; NoFigure when there is none."""
    if not index:
        raise NoFigure(_("The index “%(name)s” has no figures yet.") % {"name": name})
    if year not in index:
        first, last = min(index), max(index)
        if first < year < last:
            why = _("The index “%(name)s” has a gap at %(year)s, so the amount of %(year)s stands as it was.")
        else:
            why = _(
                "The index “%(name)s” runs from %(first)s to %(last)s, so the amount of %(year)s stands as it was."
            )
        raise NoFigure(why % {"name": name, "year": year, "first": first, "last": last})
    latest = max(index)
    return Figures(year, index[year], latest, index[latest])


def nearest(years: Iterable[int], earliest: int | None, latest: int | None) -> Speaking | None:
    """Which of the `years` of list prices speaks for a piece made from `earliest` to `latest` (None for an open end).

    One of its make, the nearest to the middle where there are several; otherwise the nearest. Of two that are
    equally near, the earlier. None without a date or without a price.
    """
    known = set(years)
    if not known or (earliest is None and latest is None):
        return None
    within = {year for year in known if _inside(year, earliest, latest)}
    ends = [end for end in (earliest, latest) if end is not None]
    year = min(within or known, key=lambda one: (_away(one, ends, inside=bool(within)), one))
    return Speaking(year, bool(within))


def _inside(year: int, earliest: int | None, latest: int | None) -> bool:
    return (earliest is None or earliest <= year) and (latest is None or year <= latest)


def _away(year: int, ends: list[int], *, inside: bool) -> int:
    """Inside the span twice the distance from its middle; outside, the distance from its nearer end."""
    return abs(2 * year - ends[0] - ends[-1]) if inside else min(abs(year - end) for end in ends)


def read_figures(text: str) -> dict[int, Decimal]:
    """Read lines of “year,value” into figures by year. The whole text or nothing: UnreadableFigures names the lines.

    Comma, semicolon or tab between the two. With a semicolon or a tab the decimal sign may be a comma. A first line
    of words is a heading; empty lines and lines after a # are passed over.
    """
    lines = _lines(text)
    separator = next((sign for sign in ";\t" if any(sign in line for _number, line in lines)), ",")
    found: dict[int, Decimal] = {}
    wrong: list[str] = []
    for number, line in lines:
        try:
            year, value = _figure(line, separator)
            if year in found:
                raise ValueError(f"the year {year} stands there twice")
        except ValueError as error:
            wrong.append(f"Line {number}: {error}.")
        else:
            found[year] = value
    wrong = wrong or _sudden(found)
    if not wrong and len(found) < 2:
        wrong = ["There are no two years in it. Write a line for each, such as 1927,17.4."]
    if wrong:
        more = [f"And {len(wrong) - MOST_ERRORS} more lines."] if len(wrong) > MOST_ERRORS else []
        raise UnreadableFigures(wrong[:MOST_ERRORS] + more)
    return found


def _lines(text: str) -> list[tuple[int, str]]:
    """Number and content of each line that should hold a figure."""
    lines = [(n, line.strip()) for n, line in enumerate(text.lstrip("\ufeff").splitlines(), 1)]
    lines = [(n, line) for n, line in lines if line and not line.startswith("#")]
    heading = bool(lines) and not any(sign.isdigit() for sign in re.split(r"[;,\t]", lines[0][1])[0])
    return lines[1:] if heading else lines


def _figure(line: str, separator: str) -> tuple[int, Decimal]:
    cells = [cell.strip().strip('"').strip() for cell in line.split(separator)]
    if len(cells) != 2:
        raise ValueError(_not_two(line, cells, separator))
    year, value = cells
    if not _YEAR.fullmatch(year):
        raise ValueError(f"“{year}” is no year of four figures")
    if not _VALUE.fullmatch(value):
        raise ValueError(
            f"“{value}” is no figure such as 17.4, without grouping and with four decimals at most"
        )
    read = Decimal(value.replace(",", "."))
    if not read:
        raise ValueError("a figure is above nought")
    return int(year), read


def _not_two(line: str, cells: list[str], separator: str) -> str:
    if separator == "," and len(cells) == 3:
        return f"“{line}” can be read in two ways. With a decimal comma, put a semicolon after the year"
    return f"“{line}” is not a year and a figure"


def _sudden(found: Mapping[int, Decimal]) -> list[str]:
    years = sorted(found)
    return [
        f"From {before} to {year} the figure goes from {found[before]} to {found[year]}. Look at the decimal sign."
        for before, year in pairwise(years)
        if not 1 <= SUDDEN * found[year] / found[before] <= SUDDEN**2
    ]
