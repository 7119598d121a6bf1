"""A table of numbers as CSV: prefix, first, last, made, page. Read whole, or refused line by line.

CSV as RFC 4180 describes it; the semicolon and the tab, which spreadsheets write as well, are read too.
"""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from catalog.dating.numbers import bare
from catalog.dating.reading import MadeDate, UnreadableDate, read_date
from catalog.dating.rules import years

COLUMNS: Final = ("prefix", "first", "last", "made", "page")
NEEDED: Final = ("first", "last", "made")
WIDEST: Final = {"prefix": 20, "made": 80, "page": 40}
MOST_BYTES: Final = 1_000_000
MOST_LINES: Final = 20_000
SHOWN: Final = 20  # sentences at once; the rest is counted
HEADER: Final = ",".join(COLUMNS)

_NUMBER = re.compile(r"[0-9]{1,18}")


class UnreadableTable(ValueError):
    """The text is no table the shop can load; each sentence says what is wrong, and in which line."""

    def __init__(self, sentences: list[str]) -> None:
        more = len(sentences) - SHOWN
        rest = [f"And {more} more like {'this' if more == 1 else 'these'}."] if more > 0 else []
        self.sentences = sentences[:SHOWN] + rest
        super().__init__("\n".join(self.sentences))


@dataclass(frozen=True, slots=True)
class TableLine:
    """One line: from the first number to the last, when they were made, on which page it stands."""

    line: int
    prefix: str
    first: int
    last: int
    made: MadeDate
    page: str

    @property
    def numbers(self) -> str:
        """First and last, as they are spoken of."""
        return f"{self.prefix}{self.first} to {self.prefix}{self.last}"


def decoded(content: bytes) -> str:
    """The text of a file in UTF-8, with or without its mark. UnreadableTable when it is in another encoding."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise UnreadableTable(
            [
                f"Line {line} is not in UTF-8, so its letters cannot be told apart. "
                "Save the table as “CSV UTF-8” and load it again."
            ]
        ) from error


def read_table(text: str) -> list[TableLine]:
    """Every line of the table. UnreadableTable, with a sentence for each line that is wrong, when one is."""
    rows = _rows(text.removeprefix("\ufeff"))
    header = next(rows, None)
    names = _names(header[1]) if header else _no_header()
    lines, wrong = _lines(names, rows)
    if not lines and not wrong:
        wrong = ["There is no line under the header."]
    wrong = wrong or list(_overlaps(lines))
    if wrong:
        raise UnreadableTable(wrong)
    return lines


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Line number and cells, without empty lines."""
    if "\0" in text:
        raise UnreadableTable(["This is not a text, but some other kind of file. Save the table as CSV."])
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if len(lines) > MOST_LINES + 1:
        raise UnreadableTable(
            [f"A table has {MOST_LINES:,} lines at most. Load it in parts, each by its source."]
        )
    first = next((line for line in lines if line.strip()), "")
    reader = csv.reader(lines, delimiter=max(",;\t", key=first.count), strict=True)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as error:
        number = reader.line_num
        message = f"Line {number}: a cell cannot be told from the next. Look at its quotation marks."
        raise UnreadableTable([message]) from error


def _no_header() -> list[str]:
    raise UnreadableTable([f"There is nothing to load. The first line names the columns: {HEADER}."])


def _names(header: list[str]) -> list[str]:
    """The columns in the order of this table."""
    names = [name.lower() for name in header]
    wrong = [f"“{name}” is no column of a table." for name in header if name.lower() not in COLUMNS]
    wrong += [f"The column “{name}” is missing." for name in NEEDED if name not in names]
    wrong += [f"The column “{name}” stands there twice." for name in COLUMNS if names.count(name) > 1]
    if wrong:
        raise UnreadableTable([*wrong, f"The first line names the columns: {HEADER}."])
    return names


def _lines(names: list[str], rows: Iterator[tuple[int, list[str]]]) -> tuple[list[TableLine], list[str]]:
    """What could be read, and a sentence for each line that could not."""
    lines, wrong = [], []
    for number, cells in rows:
        if len(cells) != len(names):
            wrong.append(f"Line {number} has {len(cells)} columns, and the header has {len(names)}.")
            continue
        try:
            lines.append(_line(number, dict(zip(names, cells, strict=True))))
        except ValueError as error:
            wrong.append(f"Line {number}: {error}")
    return lines, wrong


def _line(number: int, cells: dict[str, str]) -> TableLine:
    """ValueError, with a sentence, for what cannot be read."""
    for name, widest in WIDEST.items():
        if len(cells.get(name, "")) > widest:
            raise ValueError(f"“{name}” has {widest} characters at most.")
    first, last = _whole("first", cells["first"]), _whole("last", cells["last"])
    if first > last:
        raise ValueError(f"the last number ({last}) comes before the first ({first}).")
    return TableLine(
        number, cells.get("prefix", ""), first, last, _made(cells["made"]), cells.get("page", "")
    )


def _whole(name: str, cell: str) -> int:
    if not cell:
        raise ValueError(f"the {name} number is missing. A single number is its own first and last.")
    figures = cell.replace(" ", "")
    if not _NUMBER.fullmatch(figures):
        raise ValueError(f"“{cell}” is no number. Write figures only; what stands before them is the prefix.")
    return int(figures)


def _made(cell: str) -> MadeDate:
    if not cell:
        raise ValueError("the years are missing.")
    try:
        return read_date(cell)
    except UnreadableDate as error:
        raise ValueError(error.message) from error


def _overlaps(lines: list[TableLine]) -> Iterator[str]:
    """A sentence for each line that shares numbers with another of other years: one source cannot say both."""
    ordered = sorted(lines, key=lambda line: (bare(line.prefix), line.first, line.last, line.line))
    reach: list[TableLine] = []
    for line in ordered:
        before = reach[-1] if reach else None
        same = before is not None and bare(before.prefix) == bare(line.prefix)
        reach.append(before if before and same and before.last >= line.last else line)
    for line, before in zip(ordered[1:], reach, strict=False):
        if _at_odds(before, line):
            one, other = sorted((before, line), key=lambda each: each.line)
            yield (
                f"Lines {one.line} and {other.line} share numbers and differ in their years: "
                f"{one.numbers} ({_years(one)}), {other.numbers} ({_years(other)})."
            )


def _at_odds(one: TableLine, other: TableLine) -> bool:
    shared = bare(one.prefix) == bare(other.prefix) and other.first <= one.last
    return shared and (one.made.earliest, one.made.latest) != (other.made.earliest, other.made.latest)


def _years(line: TableLine) -> str:
    return years(line.made.earliest, line.made.latest)
