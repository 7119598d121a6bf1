"""Write down measurements."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, NamedTuple

from catalog.instruments.actions import change_rows
from catalog.instruments.models import Instrument, Measure, Measurement
from shop.staff.models import User


class Measured(NamedTuple):
    """What was measured: a whole number of `unit`, or a word."""

    amount: int | None = None
    unit: str = ""
    word: str = ""


def measure(
    instrument: Instrument,
    taken: Mapping[Measure, Measured | None],
    *,
    by: User | None,
    at: datetime,
    revision: int | None = None,
) -> bool:
    """Set each measurement that was `taken`, and drop those that are None. True when something differs."""

    def save() -> None:
        for what, value in taken.items():
            _set(instrument, what, value)

    return change_rows(instrument, "measurements", save, by=by, at=at, revision=revision)


def _set(instrument: Instrument, what: Measure, value: Measured | None) -> None:
    if value is None:
        Measurement.objects.filter(instrument=instrument, measure=what).delete()
        return
    columns: dict[str, Any] = value._asdict()
    Measurement.objects.update_or_create(instrument=instrument, measure=what, defaults=columns)
