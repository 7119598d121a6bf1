"""What is done in a sale, what is next, by whom and until when: from values alone."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from inquiries.sales.rules import NEXT, SaleFacts, Stage, stage


class Who(StrEnum):
    """Whose move it is."""

    BUYER = "The buyer"
    BANK = "The bank"
    DESK = "We, at the desk"
    OWNER = "The owner"
    CARRIER = "The carrier"
    NOBODY = ""


WHO = {
    Stage.DEPOSIT: Who.BUYER,
    Stage.PAID: Who.DESK,
    Stage.SHIPPED: Who.CARRIER,
    Stage.LOST: Who.OWNER,
    Stage.APPROVAL: Who.BUYER,
    Stage.APPROVED: Who.DESK,
    Stage.COMING_BACK: Who.BUYER,
    Stage.BACK: Who.OWNER,
}


@dataclass(frozen=True)
class Done:
    """One thing that was done, when, and by whom (empty where nobody of the shop did it)."""

    what: str
    at: datetime
    by: str = ""


@dataclass(frozen=True)
class Move:
    """What is next, whose move it is, and until when; `over` once that instant has gone by."""

    what: str
    who: Who
    until: datetime | None = None
    over: bool = False
    day: date | None = None  # the last day, where a day was agreed and no instant


@dataclass(frozen=True)
class Deadlines:
    """What was promised or agreed, from the rows of other rooms; None where there is none.

    `balance_day` is the day of the instalment that ends at `balance`.
    """

    balance: datetime | None = None
    balance_day: date | None = None
    payout: datetime | None = None
    payout_day: date | None = None
    payout_waits: bool = False


def paid_off(rows: Iterable[tuple[datetime, Decimal]]) -> datetime | None:
    """The instant of the row with which the balance came to nil or below and stayed there; None while it is owed.

    `rows` are instants and signed amounts in the order of the ledger.
    """
    found, balance = None, Decimal(0)
    for at, amount in rows:
        balance += amount
        if balance > 0:
            found = None
        elif found is None:
            found = at
    return found


def next_move(facts: SaleFacts, due: Deadlines, *, at: datetime) -> Move:
    """The one thing that is next.

    Money that is owed after the piece left comes first, since a check can bounce at any time.
    """
    now = stage(facts, at=at)
    if now == Stage.CLOSED and due.payout_waits:
        return _until("Pay the consignor.", Who.OWNER, due.payout, at, due.payout_day)
    if not facts.outcome and facts.balance > 0 and now != Stage.BACK:
        return _until(NEXT[Stage.DEPOSIT], Who.BUYER, due.balance, at, due.balance_day)
    if now == Stage.PAID and facts.uncleared:
        return Move("The bank is to make the money final; then mark it as cleared.", Who.BANK)
    until = facts.approval_until if now == Stage.APPROVAL else None
    return Move(NEXT[now], WHO.get(now, Who.NOBODY), until)


def _until(what: str, who: Who, until: datetime | None, at: datetime, day: date | None) -> Move:
    return Move(what, who, until, over=until is not None and until <= at, day=day)


def in_order(things: Sequence[Done | None]) -> list[Done]:
    """What is done, the first one first; what is not done left out."""
    return sorted((one for one in things if one is not None), key=lambda one: one.at)
