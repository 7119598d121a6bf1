"""A schedule of instalments, and how it stands on a day: from values alone. Common practice, no source.

Amounts are whole numbers of minor units. What does not divide evenly is added to the first instalment, so that the
others are alike. An instalment is late from the day after it was due, and in default once the days of grace are gone.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from shop.days import months_on


class State(StrEnum):
    """How one instalment stands."""

    PAID = "Paid"
    AHEAD = "Not due yet"
    DUE = "Due today"
    LATE = "Late"
    DEFAULT = "In default"


@dataclass(frozen=True)
class Due:
    """An amount in minor units and the day it falls due."""

    on: date
    minor: int


@dataclass(frozen=True)
class Standing:
    """One instalment with what came in for it and how it stands."""

    due: Due
    paid: int
    state: State

    @property
    def open(self) -> int:
        """What is still to come of it."""
        return self.due.minor - self.paid


def schedule(total: int, count: int, first: date) -> list[Due]:
    """`total` in `count` monthly instalments from `first` on; raises ValueError when one would be nothing."""
    if count < 1 or total < count:
        raise ValueError("There is not enough to be paid for so many instalments.")
    each, rest = divmod(total, count)
    return [Due(months_on(first, place), each + (rest if place == 0 else 0)) for place in range(count)]


def standing(plan: Sequence[Due], paid: int, *, on: date, grace: int) -> list[Standing]:
    """How each instalment stands on a day: what came in counts for the earliest first."""
    found = []
    for due in plan:
        share = min(max(paid, 0), due.minor)
        paid -= share
        found.append(Standing(due, share, _state(due, share, on=on, grace=grace)))
    return found


def _state(due: Due, paid: int, *, on: date, grace: int) -> State:
    if paid >= due.minor:
        return State.PAID
    if on < due.on:
        return State.AHEAD
    if on == due.on:
        return State.DUE
    return State.LATE if on <= due.on + timedelta(days=grace) else State.DEFAULT


def next_due(rows: Iterable[Standing]) -> Standing | None:
    """The first instalment that is not paid."""
    return next((row for row in rows if row.state != State.PAID), None)


def overdue(rows: Iterable[Standing]) -> int:
    """All that should have come in by now and did not, in minor units."""
    return sum(row.open for row in rows if row.state in {State.LATE, State.DEFAULT})


def in_default(rows: Iterable[Standing]) -> bool:
    """Whether an instalment is open beyond its days of grace."""
    return any(row.state == State.DEFAULT for row in rows)


def objection(plan: Sequence[Due], *, balance: int, today: date, last_allowed: date) -> str:
    """Why a plan cannot be agreed, as a sentence; empty when it can."""
    days = [due.on for due in plan]
    if not plan:
        return "There is no instalment in it. Write at least one."
    if any(due.minor <= 0 for due in plan):
        return "Each instalment is above nought."
    if days != sorted(set(days)):
        return "Each instalment falls due on a later day than the one before it."
    if days[0] < today:
        return "The first instalment cannot fall due before today."
    if days[-1] > last_allowed:
        return f"By the house policy of this sale the last instalment falls due by {last_allowed:%-d %B %Y}."
    if sum(due.minor for due in plan) != balance:
        return "The instalments must add up to the balance."
    return ""
