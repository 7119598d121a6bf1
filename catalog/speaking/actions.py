"""What the dealer makes of the speaker's sheet, kept beside the record, which stays as it is."""

from collections.abc import Callable
from datetime import datetime

from django.db import transaction

from catalog.instruments.models import Instrument
from catalog.speaking.models import SpokenLine
from catalog.speaking.queries import kept_of
from catalog.speaking.rules import KEYS, LABELS, in_order, moved, tidied
from shop.history.actions import record
from shop.staff.models import User

SHEET = "speaker’s sheet"


def reword(
    instrument: Instrument, key: str, words: str, *, from_record: str, by: User | None, at: datetime
) -> bool:
    """Give a line words of its own, written over `from_record`; the record's own words give it back its line.

    True when something differs.
    """
    words = tidied(words)

    def change(row: SpokenLine) -> None:
        row.words = "" if words == from_record else words
        row.from_record = from_record if row.words else ""

    return _change(instrument, key, change, by=by, at=at)


def leave_out(instrument: Instrument, key: str, *, by: User | None, at: datetime) -> bool:
    """Read the line out no more; it keeps its place and its words."""
    return _change(instrument, key, lambda row: setattr(row, "left_out", True), by=by, at=at)


def put_back(instrument: Instrument, key: str, *, by: User | None, at: datetime) -> bool:
    """Read the line out again."""
    return _change(instrument, key, lambda row: setattr(row, "left_out", False), by=by, at=at)


@transaction.atomic
def move(instrument: Instrument, key: str, places: int, *, by: User | None, at: datetime) -> bool:
    """Move a line past as many lines that are read out as `places` says; later, or earlier when negative."""
    _lock(instrument)
    rows = {row.key: row for row in instrument.spoken_lines.all()}
    before = in_order(KEYS, map(kept_of, rows.values()))
    silent = {name for name, row in rows.items() if row.left_out and name != key}
    heard = moved([name for name in before if name not in silent], key, places)
    after = _with_silent(heard, before, silent)
    if after == before:
        return False
    for place, name in enumerate(after):
        SpokenLine.objects.update_or_create(instrument=instrument, key=name, defaults={"position": place})
    record(instrument, "changed", by=by, at=at, field=SHEET, old=_spoken(before), new=_spoken(after))
    return True


def _with_silent(heard: list[str], before: list[str], silent: set[str]) -> list[str]:
    """The lines left out go back behind the line they stood behind."""
    order = list(heard)
    for place, name in enumerate(before):
        if name in silent:
            order.insert(order.index(before[place - 1]) + 1 if place else 0, name)
    return order


@transaction.atomic
def _change(
    instrument: Instrument,
    key: str,
    change: Callable[[SpokenLine], None],
    *,
    by: User | None,
    at: datetime,
) -> bool:
    _lock(instrument)
    row = instrument.spoken_lines.filter(key=key).first()
    row = row or SpokenLine(instrument=instrument, key=key, position=_place(instrument, key))
    before = _line(row)
    change(row)
    if _line(row) == before:
        return False
    row.save()
    record(instrument, "changed", by=by, at=at, field=SHEET, old=before, new=_line(row))
    return True


def _lock(instrument: Instrument) -> None:
    Instrument.objects.select_for_update().get(pk=instrument.pk)


def _place(instrument: Instrument, key: str) -> int:
    """Where a line without a row stands: no row is written until something of it is changed."""
    return in_order(KEYS, map(kept_of, instrument.spoken_lines.all())).index(key)


def _line(row: SpokenLine) -> str:
    """A line as the history tells it."""
    says = row.words or "as the record gives it"
    return f"{LABELS[row.key]}: {says}{' (left out)' if row.left_out else ''}"


def _spoken(order: list[str]) -> str:
    return ", ".join(LABELS[key] for key in order)
