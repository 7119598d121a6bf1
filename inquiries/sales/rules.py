"""Holds, balances and stages, from values alone."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from enum import StrEnum

from shop.money import Money


def elapsed(start: datetime, hours: int) -> datetime:
    """The instant so many hours after `start`, whatever the clocks of its zone do meanwhile: a sum in UTC.

    Added to an instant of a zone, hours would move the hand on the wall, which is put forward and back.
    """
    return start.astimezone(UTC) + timedelta(hours=hours)


def hold_end(start: datetime, hours: int) -> datetime:
    """The instant a hold ends: so many elapsed hours after `start`."""
    return elapsed(start, hours)


def chain(start: datetime, hours: Iterable[int]) -> list[tuple[datetime, datetime]]:
    """The half-open spans of a queue of holds, each beginning where the one before it ends."""
    spans = []
    for length in hours:
        spans.append((start, hold_end(start, length)))
        start = spans[-1][1]
    return spans


def usual_deposit(price: Decimal, percent: Decimal, currency: str) -> Decimal:
    """The usual deposit on `price`, rounded half up to the minor unit of its currency."""
    return Money(price * percent / 100, currency).amount


class Stage(StrEnum):
    """How far a sale has come. Never stored: computed from its rows."""

    DEPOSIT = "Deposit taken"
    PAID = "Paid in full"
    SHIPPED = "Shipped"
    LOST = "Lost on the way"
    APPROVAL = "On approval"
    APPROVED = "Approval over"
    CLOSED = "Closed"
    COMING_BACK = "Coming back"
    BACK = "Back in the shop"
    RETURNED = "Returned"
    FELL_THROUGH = "Fell through"


class Step(StrEnum):
    """What can be done to a sale."""

    PAY = "record a payment"
    PLAN = "agree on instalments"
    TAX = "book the tax"
    CHARGE = "change what is charged"
    REFUND = "refund money"
    REVERSE = "reverse a row"
    CLEAR = "mark money as cleared"
    PICTURE = "keep photographs taken before sealing"
    SHIP = "record the parcel"
    LOSE = "record the parcel as lost"
    DELIVER = "record the delivery"
    CLOSE = "close the sale"
    ANNOUNCE = "enter that it comes back"
    KEEP = "enter that the buyer keeps it"
    INSPECT = "enter how it came back"
    RETURN = "settle the return"
    FALL_THROUGH = "let the sale fall through"


OPEN = frozenset(
    {
        Stage.DEPOSIT,
        Stage.PAID,
        Stage.SHIPPED,
        Stage.LOST,
        Stage.APPROVAL,
        Stage.APPROVED,
        Stage.COMING_BACK,
        Stage.BACK,
    }
)

ALLOWED: dict[Step, frozenset[Stage]] = {
    # A check that bounces after the parcel went is reversed, and then the money has still to come in.
    Step.PAY: OPEN - {Stage.PAID},
    Step.PLAN: frozenset({Stage.DEPOSIT}),
    Step.TAX: OPEN,
    Step.CHARGE: OPEN,
    Step.REFUND: OPEN,
    Step.REVERSE: OPEN,
    Step.CLEAR: frozenset(Stage),
    Step.PICTURE: frozenset({Stage.DEPOSIT, Stage.PAID}),
    Step.SHIP: frozenset({Stage.PAID}),
    Step.LOSE: frozenset({Stage.SHIPPED}),
    # A parcel that was given up as lost may turn up.
    Step.DELIVER: frozenset({Stage.SHIPPED, Stage.LOST}),
    Step.CLOSE: frozenset({Stage.APPROVED}),
    # What the buyer refuses, or the carrier cannot deliver, comes back though nobody had it.
    Step.ANNOUNCE: frozenset({Stage.SHIPPED, Stage.LOST, Stage.APPROVAL, Stage.APPROVED}),
    Step.KEEP: frozenset({Stage.COMING_BACK}),
    Step.INSPECT: frozenset({Stage.COMING_BACK}),
    Step.RETURN: frozenset({Stage.BACK}),
    Step.FALL_THROUGH: frozenset({Stage.DEPOSIT, Stage.PAID, Stage.LOST}),
}


@dataclass(frozen=True)
class SaleFacts:
    """What the rows of a sale add up to. Amounts are in the sale's currency."""

    charged: Decimal
    paid: Decimal
    uncleared: Decimal
    approval_hours: int
    shipped_at: datetime | None = None
    lost_at: datetime | None = None
    delivered_at: datetime | None = None
    returning_at: datetime | None = None
    inspected_at: datetime | None = None
    outcome: str = ""

    @property
    def balance(self) -> Decimal:
        """What the buyer still owes; below zero, what we owe the buyer."""
        return self.charged - self.paid

    @property
    def approval_until(self) -> datetime | None:
        """When the approval period ends (end out), once delivered."""
        return elapsed(self.delivered_at, self.approval_hours) if self.delivered_at else None


OUTCOMES = {"closed": Stage.CLOSED, "returned": Stage.RETURNED, "fell-through": Stage.FELL_THROUGH}


def stage(facts: SaleFacts, *, at: datetime) -> Stage:
    """The stage of a sale at `at`."""
    if facts.outcome:
        return OUTCOMES[facts.outcome]
    if facts.inspected_at:
        return Stage.BACK
    if facts.returning_at:
        return Stage.COMING_BACK
    if facts.approval_until:
        return Stage.APPROVAL if at < facts.approval_until else Stage.APPROVED
    if facts.shipped_at:
        return Stage.LOST if facts.lost_at else Stage.SHIPPED
    return Stage.PAID if facts.balance <= 0 else Stage.DEPOSIT


def allowed(step: Step, facts: SaleFacts, *, at: datetime) -> bool:
    """Whether the table of steps lets `step` happen now."""
    return stage(facts, at=at) in ALLOWED[step]


NEXT = {
    Stage.DEPOSIT: "The balance is to come from the buyer.",
    Stage.PAID: "Pack it, and record the parcel or the collection.",
    Stage.SHIPPED: "Record the delivery when the carrier shows it, or enter that it comes back undelivered.",
    Stage.LOST: "Follow the claim; the owner ends the sale and pays the buyer back. If it turns up, record the "
    "delivery, or enter that it comes back.",
    Stage.APPROVAL: "The approval period runs.",
    Stage.APPROVED: "Close the sale.",
    Stage.COMING_BACK: "Look at it when it is here, and enter how it came back.",
    Stage.BACK: "Settle what is paid back.",
    Stage.CLOSED: "Nothing is left to do.",
    Stage.RETURNED: "Nothing is left to do.",
    Stage.FELL_THROUGH: "Nothing is left to do.",
}


def place_in_queue(position: int) -> str:
    """1 → “first in the queue”, as it is said to a person."""
    words: Sequence[str] = ("first", "second", "third", "fourth", "fifth", "sixth")
    word = words[position - 1] if position <= len(words) else f"number {position}"
    return f"{word} in the queue"
