"""Which part of a file is asked for. Source: RFC 9110 (HTTP Semantics), section 14.

Values in, values out. A header that is not understood is as good as none; several parts that can all be given are
answered with the whole, which the standard allows.
"""

import re
from typing import NamedTuple

ONE = re.compile(r"([0-9]+)-([0-9]*)|-([0-9]+)")
MOST_DIGITS = 18


class Part(NamedTuple):
    """Bytes `first` to `last`, both included."""

    first: int
    last: int

    @property
    def length(self) -> int:
        """How many bytes."""
        return self.last - self.first + 1

    def told(self, size: int) -> str:
        """As Content-Range says it (section 14.4)."""
        return f"bytes {self.first}-{self.last}/{size}"


class Unsatisfiable(Exception):
    """No part that was asked for lies in the file (section 15.5.17)."""


def wanted(header: str, size: int) -> Part | None:
    """The one part asked for; None for the whole. Raises Unsatisfiable."""
    unit, equals, ranges = header.partition("=")
    if not equals or unit.strip(" \t").lower() != "bytes":
        return None
    asked = [one for one in (text.strip(" \t") for text in ranges.split(",")) if one]
    found = [ONE.fullmatch(one) for one in asked]
    if not asked or not all(match and _is_valid(match) for match in found):
        return None
    parts = [part for match in found if match and (part := _part(match, size))]
    if not parts:
        raise Unsatisfiable
    return parts[0] if len(parts) == 1 else None


def _is_valid(match: "re.Match[str]") -> bool:
    """An end before its beginning, or a number beyond reason, makes the whole header invalid (section 14.1.1)."""
    first, last, suffix = match.groups()
    if max(len(text or "") for text in (first, last, suffix)) > MOST_DIGITS:
        return False
    return not last or int(first) <= int(last)


def _part(match: "re.Match[str]", size: int) -> Part | None:
    """The part as far as it lies in the file; None when no byte of it does."""
    first, last, suffix = match.groups()
    if suffix is not None:
        length = min(int(suffix), size)
        return Part(size - length, size - 1) if length else None
    if int(first) >= size:
        return None
    return Part(int(first), min(int(last), size - 1) if last else size - 1)


def still_the_same(if_range: str, etag: str, last_modified: str) -> bool:
    """Whether If-Range lets a part be sent: the same strong tag, or to the letter the same date (section 13.1.5)."""
    asked = if_range.strip(" \t")
    if asked.startswith('"'):
        return asked == etag and not etag.startswith("W/")
    return asked == last_modified
