"""Write down what was found, part by part."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, NamedTuple

from catalog.instruments.actions import change_rows
from catalog.instruments.models import Instrument, Part
from catalog.originality.models import Finding
from shop.staff.models import User


class Found(NamedTuple):
    """What was found about one part."""

    state: str
    evidence: str = ""
    note: str = ""


NOTHING_FOUND = Found(Finding.State.NOT_EXAMINED)


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
        known = {row.part_id: row for row in instrument.findings.all()}
        for part, value in found.items():
            _set(instrument, part, value, known.get(part.pk), by=by, at=at)

    return change_rows(instrument, "findings", save, by=by, at=at, revision=revision)


def _set(
    instrument: Instrument, part: Part, value: Found, known: Finding | None, *, by: User | None, at: datetime
) -> None:
    before = Found(known.state, known.evidence, known.note) if known else NOTHING_FOUND
    if value == before:
        return
    columns: dict[str, Any] = {**value._asdict(), "examined_by": by, "examined_at": at}
    Finding.objects.update_or_create(instrument=instrument, part=part, defaults=columns)
