"""What a buyer may have: computed from holds and sales, which live further up the street.

The catalogue never imports an inquiry. The inquiries app registers here, at start, how a query of
instruments is given `taken`; the word follows from it in one place.
"""

from collections.abc import Callable
from datetime import datetime
from enum import StrEnum

from catalog.instruments.models import Instrument
from catalog.instruments.queries import InstrumentQuerySet
from shop.wording import gettext as _

Annotate = Callable[[InstrumentQuerySet, datetime], InstrumentQuerySet]
Waiting = Callable[[Instrument, datetime], int]
Taken = Callable[[datetime], set[int]]
Turn = Callable[[InstrumentQuerySet, datetime], datetime | None]
Timer = Callable[[Instrument, datetime], datetime | None]

_annotate: list[Annotate] = []
_waiting: list[Waiting] = []
_taken: list[Taken] = []
_turn: list[Turn] = []
_timer: list[Timer] = []


class Availability(StrEnum):
    """What a buyer may have; the value is the word in English."""

    AVAILABLE = "Available"
    ON_HOLD = "On hold"
    SOLD = "Sold"
    NOT_LISTED = "Not listed"

    @property
    def word(self) -> str:
        """The word on the public page, in the reader’s language."""
        words = {
            Availability.AVAILABLE: _("Available"),
            Availability.ON_HOLD: _("On hold"),
            Availability.SOLD: _("Sold"),
            Availability.NOT_LISTED: _("Not listed"),
        }
        return words[self]


def register(annotate: Annotate, waiting: Waiting, taken: Taken, turn: Turn, timer: Timer) -> None:
    """Tell the catalogue how availability and the queue are found (called once, at start)."""
    _annotate[:] = [annotate]
    _waiting[:] = [waiting]
    _taken[:] = [taken]
    _turn[:] = [turn]
    _timer[:] = [timer]


def annotated(instruments: InstrumentQuerySet, *, at: datetime) -> InstrumentQuerySet:
    """Give each instrument `taken` (bool): whether a hold or an open sale stands at `at`."""
    return _annotate[0](instruments, at)


def taken_at(at: datetime) -> set[int]:
    """The keys of all instruments on which a hold or an open sale stands at `at`: `taken`, asked the other way."""
    return _taken[0](at)


def next_turn(instruments: InstrumentQuerySet, *, at: datetime) -> datetime | None:
    """The first instant after `at` at which a hold on one of these begins or ends by itself; None when none does."""
    return _turn[0](instruments, at)


def waiting_behind(instrument: Instrument, *, at: datetime) -> int:
    """How many people wait after the hold or sale that stands at `at`; never who."""
    return _waiting[0](instrument, at)


def held_until(instrument: Instrument, *, at: datetime) -> datetime | None:
    """When the hold that runs at `at` ends, where the house policy lets buyers read it; never whose it is."""
    return _timer[0](instrument, at)


def availability_of(instrument: Instrument) -> Availability:
    """The word for an instrument that came through `annotated`."""
    if instrument.state == Instrument.State.SOLD:
        return Availability.SOLD
    if instrument.state != Instrument.State.LISTED:
        return Availability.NOT_LISTED
    return Availability.ON_HOLD if instrument.taken else Availability.AVAILABLE  # type: ignore[attr-defined]
