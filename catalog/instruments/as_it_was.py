"""The rows of a record as they stood at an instant, by undoing what its history tells of later changes."""

from collections.abc import Iterable
from datetime import datetime

from catalog.instruments.actions import rows_as_text
from catalog.instruments.models import Instrument
from shop.history.queries import history_of

BETWEEN = " · "  # between the values of one row


def rows_then(instrument: Instrument, what: str, *, at: datetime, told: str = "") -> list[str]:
    """The rows of the relation `what` at an instant, each as its history tells it (see `change_rows`)."""
    later = history_of(instrument).filter(verb="changed", field=told or what, at__gt=at)
    return undone(rows_as_text(instrument, what), [(entry.old, entry.new) for entry in later])


def undone(rows: Iterable[str], later: Iterable[tuple[str, str]]) -> list[str]:
    """The rows before changes, each of which is told by the rows it took away and those it brought; newest first."""
    found = list(rows)
    for old, new in later:
        brought = new.splitlines()
        found = [row for row in found if row not in brought] + old.splitlines()
    return found
