"""Write down what was found, part by part."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, NamedTuple

from catalog.instruments.actions import change_rows
from catalog.instruments.models import Instrument, Part
from catalog.originality.models import Finding
from catalog.papers.models import Paper
from catalog.pictures.models import Photograph
from shop.staff.models import User


class Found(NamedTuple):
    """What was found about one part, how it was seen, and what is known of its change."""

    state: str
    seen: str = ""
    evidence: str = ""
    certainty: str = Finding.Certainty.CERTAIN
    note: str = ""
    work_by: str = ""
    when: str = ""
    photograph: Photograph | None = None
    paper: Paper | None = None
    original_kept: bool = False
    original_where: str = ""
    seen_by: str = ""


NOTHING_FOUND = Found(Finding.State.NOT_EXAMINED)


def found_in(row: Finding) -> Found:
    """What a kept row says."""
    return Found(*(getattr(row, column) for column in Found._fields))


def examine(
    instrument: Instrument,
    found: Mapping[Part, Found],
    *,
    by: User | None,
    at: datetime,
    revision: int | None = None,
) -> bool:
    """Keep what was found about each part; True when something differs.

    Only a part whose finding differs is put down to `by` and `at`. A part never examined stays without a row.
    """

    def save() -> None:
        known = {row.part_id: row for row in instrument.findings.select_related("photograph", "paper")}
        for part, value in found.items():
            _set(instrument, part, value, known.get(part.pk), by=by, at=at)

    return change_rows(instrument, "findings", save, by=by, at=at, revision=revision, told="originality")


def _set(
    instrument: Instrument, part: Part, value: Found, known: Finding | None, *, by: User | None, at: datetime
) -> None:
    if value == (found_in(known) if known else NOTHING_FOUND):
        return
    row = known or Finding(instrument=instrument, part=part)
    columns: dict[str, Any] = {**value._asdict(), "examined_by": by, "examined_at": at}
    for column, kept in columns.items():
        setattr(row, column, kept)
    row.save()
