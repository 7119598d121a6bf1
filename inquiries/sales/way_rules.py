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


class Next(StrEnum):
    """What the next move of a sale is: decided here alone, and put into words by whoever shows it."""

    BALANCE = "balance"
    CLEAR = "clear"
    REFUND = "refund"
    PACK = "pack"
    DELIVERY = "delivery"
    LOST = "lost"
    APPROVAL = "approval"
    CLOSE = "close"
    LOOK = "look"
    SETTLE = "settle"
    NOTHING = "nothing"


WHO = {
    Next.BALANCE: Who.BUYER,
    Next.CLEAR: Who.BANK,
    Next.REFUND: Who.OWNER,
    Next.PACK: Who.DESK,
    Next.DELIVERY: Who.CARRIER,
    Next.LOST: Who.OWNER,
    Next.APPROVAL: Who.BUYER,
    Next.CLOSE: Who.DESK,
    Next.LOOK: Who.BUYER,
    Next.SETTLE: Who.OWNER,
    Next.NOTHING: Who.NOBODY,
}

SAYS = {
    Next.BALANCE: NEXT[Stage.DEPOSIT],
    Next.CLEAR: "The bank is to make the money final; then mark it as cleared.",
    Next.REFUND: "Pay back what was paid too much.",
    Next.PACK: NEXT[Stage.PAID],
    Next.DELIVERY: NEXT[Stage.SHIPPED],
    Next.LOST: NEXT[Stage.LOST],
    Next.APPROVAL: NEXT[Stage.APPROVAL],
    Next.CLOSE: NEXT[Stage.APPROVED],
    Next.LOOK: NEXT[Stage.COMING_BACK],
    Next.SETTLE: NEXT[Stage.BACK],
    Next.NOTHING: NEXT[Stage.CLOSED],
}

# What money that is owed, not final or paid too much does not put off.
BEFORE_MONEY = {
    Stage.LOST: Next.LOST,
    Stage.COMING_BACK: Next.LOOK,
    Stage.BACK: Next.SETTLE,
    Stage.CLOSED: Next.NOTHING,
    Stage.RETURNED: Next.NOTHING,
    Stage.FELL_THROUGH: Next.NOTHING,
}
AFTER_MONEY = {
    Stage.DEPOSIT: Next.BALANCE,
    Stage.PAID: Next.PACK,
    Stage.SHIPPED: Next.DELIVERY,
    Stage.APPROVAL: Next.APPROVAL,
    Stage.APPROVED: Next.CLOSE,
}
WAIT_FOR_THE_BANK = {Next.PACK, Next.CLOSE, Next.REFUND}


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


def what_next(facts: SaleFacts, *, at: datetime) -> Next:
    """The one thing that is next, whoever asks. Common practice, no source.

    A piece that is lost or comes back is seen to first. Then money that is owed, at any time, since a check can bounce
    after the piece left; then money that is not final, before the piece leaves, the sale closes, or a surplus goes
    back; then the surplus.
    """
    now = stage(facts, at=at)
    if now in BEFORE_MONEY:
        return BEFORE_MONEY[now]
    if facts.balance > 0:
        return Next.BALANCE
    following = Next.REFUND if facts.balance < 0 else AFTER_MONEY[now]
    if facts.uncleared and following in WAIT_FOR_THE_BANK:
        return Next.CLEAR
    return following


def instead(facts: SaleFacts, *, at: datetime) -> str:
    """What can be done where something else was asked for, as a sentence for a refusal."""
    what = what_next(facts, at=at)
    if what == Next.NOTHING:
        return "A sale that has ended stays as it is; what comes after it begins with a new hold."
    return f"Next: {SAYS[what]}"


def next_move(facts: SaleFacts, due: Deadlines, *, at: datetime) -> Move:
    """The same as a sentence, with whose move it is and until when; of a closed sale, the consignor's share."""
    what = what_next(facts, at=at)
    if what == Next.NOTHING and due.payout_waits:
        return _until("Pay the consignor.", Who.OWNER, due.payout, at, due.payout_day)
    if what == Next.BALANCE:
        return _until(SAYS[what], WHO[what], due.balance, at, due.balance_day)
    until = facts.approval_until if what == Next.APPROVAL else None
    undelivered = what == Next.LOOK and facts.delivered_at is None
    return Move(SAYS[what], Who.CARRIER if undelivered else WHO[what], until)


def _until(what: str, who: Who, until: datetime | None, at: datetime, day: date | None) -> Move:
    return Move(what, who, until, over=until is not None and until <= at, day=day)


def in_order(things: Sequence[Done | None]) -> list[Done]:
    """What is done, the first one first; what is not done left out."""
    return sorted((one for one in things if one is not None), key=lambda one: one.at)
