"""Pages of a long list that cost the same wherever they stand: each begins where the one before it ended.

A page number would make the database count through all rows before it. Here the address of the next page carries the
last row's instant and number instead, and an index that has both finds the place at once.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Generic, TypeVar

from django.db.models import Model, Q, QuerySet

Row = TypeVar("Row", bound=Model)
BETWEEN = "~"


@dataclass(frozen=True)
class Stretch(Generic[Row]):
    """The rows of one page; `earlier` and `further` are the marks of its ends, empty where the list ends."""

    rows: list[Row]
    earlier: str = ""
    further: str = ""


@dataclass(frozen=True)
class Order:
    """By an instant that is never empty, and by the row's number where two are the same."""

    field: str
    latest_first: bool = True

    def stretch(self, rows: QuerySet[Row], *, most: int, after: str = "", before: str = "") -> Stretch[Row]:
        """`most` rows after a mark, or before one, or from the beginning. A mark that is none is overlooked."""
        back = read_mark(before)
        mark = back or read_mark(after)
        latest_first = self.latest_first != bool(back)
        if mark:
            rows = rows.filter(self._beyond(*mark, latest_first=latest_first))
        sign = "-" if latest_first else ""
        found = list(rows.order_by(f"{sign}{self.field}", f"{sign}pk")[: most + 1])
        more, found = len(found) > most, found[:most]
        if back:
            found.reverse()
        if not found:
            return Stretch([])
        begins, goes_on = (more, True) if back else (bool(mark), more)
        return Stretch(
            found, self._mark(found[0]) if begins else "", self._mark(found[-1]) if goes_on else ""
        )

    def _beyond(self, instant: datetime, number: int, *, latest_first: bool) -> Q:
        way = "lt" if latest_first else "gt"
        # The first of the two is what the index is searched for.
        return Q(**{f"{self.field}__{way}e": instant}) & (
            Q(**{f"{self.field}__{way}": instant}) | Q(**{f"pk__{way}": number})
        )

    def _mark(self, row: Row) -> str:
        instant: datetime = getattr(row, self.field)
        return f"{instant.isoformat()}{BETWEEN}{row.pk}"


def read_mark(text: str) -> tuple[datetime, int] | None:
    """The instant and the number in a mark; None for anything that is no mark."""
    instant, _, number = text.partition(BETWEEN)
    try:
        read, place = datetime.fromisoformat(instant), int(number)
    except ValueError:
        return None
    return (read, place) if read.tzinfo and 0 < place < 2**63 else None
