"""What may be promised by a house policy, and for how long: from values alone. An empty answer is a yes."""

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from inquiries.sales.rules import elapsed, hold_end

DAY_HOURS = 24


class Policy(Protocol):
    """What a house policy says of holds."""

    hold_most_hours: int
    deposit_due_hours: int
    deposit_hold_days: int
    extension_hours: int


@dataclass(frozen=True)
class Promise:
    """How long a hold is to run by itself, and with a deposit, how long the balance may take from its start."""

    hours: int
    balance_hours: int | None = None

    @property
    def with_deposit(self) -> bool:
        """Whether it ends early unless a deposit comes."""
        return self.balance_hours is not None


def why_not(promise: Promise, policy: Policy) -> str:
    """Why `policy` does not allow this promise, and what to do; empty when it does."""
    most, due, days = policy.hold_most_hours, policy.deposit_due_hours, policy.deposit_hold_days
    if promise.balance_hours is None:
        if promise.hours > most:
            return (
                f"A hold longer than {hours_of(most)} without a deposit is not made by the house policy. "
                f"Make it {hours_of(most)} at most, or hold it with a deposit, for up to {days_of(days)}."
            )
        return ""
    if promise.hours > due:
        return (
            f"By the house policy a deposit is due within {hours_of(due)}. Let it be due sooner; "
            "the balance can take longer."
        )
    if promise.balance_hours > days * DAY_HOURS:
        return (
            f"By the house policy a piece is held {days_of(days)} at most with a deposit. "
            f"Give the balance {days_of(days)} or fewer."
        )
    if promise.balance_hours < promise.hours:
        return "The balance cannot be due before the deposit. Give it more days, or let the deposit be due sooner."
    return ""


def why_not_longer(
    promise: Promise,
    policy: Policy,
    *,
    by_hours: int,
    extended_hours: int,
) -> str:
    """Why a running hold cannot be made longer by so many hours, and what to do; empty when it can."""
    if extended_hours:
        return (
            f"This hold was made longer once already, by {hours_of(extended_hours)}, and once is all. "
            "Take a deposit to keep it for them, or let it end."
        )
    most = policy.extension_hours
    if not most:
        return (
            "By the house policy that this hold was made under, no hold is made longer. "
            "Take a deposit to keep it for them, or let it end."
        )
    if by_hours > most:
        return (
            f"By the house policy that this hold was made under, it can be made longer "
            f"by {hours_of(most)} at most. "
            "Give fewer hours, or take a deposit."
        )
    if promise.balance_hours is not None and promise.hours + by_hours > promise.balance_hours:
        return (
            "The deposit would be due after the balance. Give fewer hours: "
            "the whole promise stays as long as it was."
        )
    return ""


def balance_due(start: datetime | None, balance_hours: int | None) -> datetime | None:
    """When the balance is due: so many elapsed hours after the start of the hold, whatever the clocks do."""
    return hold_end(start, balance_hours) if start and balance_hours else None


def longer(until: datetime, by_hours: int) -> datetime:
    """The end of a hold that was made longer by elapsed hours."""
    return elapsed(until, by_hours)


def hours_of(many: int) -> str:
    """“48 hours”, “one hour”."""
    return "one hour" if many == 1 else f"{many} hours"


def days_of(many: int) -> str:
    """“30 days”, “one day”."""
    return "one day" if many == 1 else f"{many} days"
