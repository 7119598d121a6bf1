"""When cash received from one buyer is to be reported, from values alone. A caution: it decides and advises nothing.

Sources: 26 U.S. Code § 6050I, read; Form 8300 instructions, read; what is not cash, how payments on one sale add up
over twelve months and what is related within 24 hours: IRS Publication 1544, read in secondary pages, and
26 CFR 1.6050I-1(b), from memory. The amounts are rows of the shop (models.CashLimit), since a law may change them.
General information, not legal advice.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from enum import StrEnum

from shop.days import months_on

A_DAY = timedelta(hours=24)
NOUGHT = Decimal(0)


class Counts(StrEnum):
    """Whether a payment counts as cash, and why."""

    CASH = "Cash counts, in any currency."
    CHECK = "A cashier’s check of this face counts as cash in such a sale."
    FACE = "A cashier’s check with a larger face does not count. Several checks are written down one by one."
    OWN = "Money from the buyer’s own account, or by card, does not count."


@dataclass(frozen=True)
class Limit:
    """The rule of a country from a day on, until a later row."""

    key: int
    country: str
    starts: date
    amount: Decimal
    currency: str
    check_face: Decimal  # a cashier's check up to this face counts as cash
    months: int = 12
    due_days: int = 15
    checks_at_any_price: bool = True  # cautious: an old instrument may be a collectible, at any price


def limit_on(limits: Iterable[Limit], day: date) -> Limit | None:
    """The rule of a day, of those of one country: the one that began last; of two of one day, the one added later."""
    begun = [limit for limit in limits if limit.starts <= day]
    return max(begun, key=lambda limit: (limit.starts, limit.key), default=None)


@dataclass(frozen=True)
class Payment:
    """Money received from the buyer: one row of a ledger. `day` is its day on the shop's clock."""

    key: int
    sale: int
    at: datetime
    day: date
    amount: Decimal
    method: str
    sale_price: Decimal = NOUGHT
    currency: str = "USD"


def counts(payment: Payment, limit: Limit) -> Counts:
    """Whether a payment counts as cash under a rule."""
    if payment.method == "cash":
        return Counts.CASH
    if payment.method != "cashiers-check":
        return Counts.OWN
    if payment.amount > limit.check_face:
        return Counts.FACE
    # A consumer durable counts above the limit only, a collectible at any price.
    reporting = limit.checks_at_any_price or payment.sale_price > limit.amount
    return Counts.CHECK if reporting else Counts.OWN


@dataclass(frozen=True)
class Report:
    """A report that is due: the payments that it is about, the last of which passed the limit."""

    payments: tuple[Payment, ...]
    limit: Limit
    due: date

    @property
    def sales(self) -> frozenset[int]:
        """The sales that it is about."""
        return frozenset(payment.sale for payment in self.payments)


def related(payments: Sequence[Payment]) -> list[list[Payment]]:
    """The payments of one buyer, put together: those on one sale, and those of two sales within 24 hours.

    Exactly 24 hours apart is within them: the cautious reading.
    """
    groups: list[list[Payment]] = []
    for payment in sorted(payments, key=_in_time):
        joined = [
            group
            for group in groups
            if any(other.sale == payment.sale or payment.at - other.at <= A_DAY for other in group)
        ]
        groups = [group for group in groups if group not in joined]
        groups.append(sorted([*(one for group in joined for one in group), payment], key=_in_time))
    return groups


def reports(payments: Iterable[Payment], *limits: Limit) -> list[Report]:
    """Each report that the payments of one buyer call for, in the order of time. `limits` are the rows of one country.

    Payments not yet reported add up over the months of the rule, the day that closes them included (the cautious
    reading). When their sum passes the limit of the day, and not when it meets it, a report is due; then the count
    begins anew.
    """
    cash = [one for one in payments if (limit := limit_on(limits, one.day)) and is_cash(one, limit)]
    found = [report for group in related(cash) for report in _of_one(group, limits)]
    return sorted(found, key=lambda report: _in_time(report.payments[-1]))


def is_cash(payment: Payment, limit: Limit) -> bool:
    """Whether a payment counts; foreign money would, but what it is worth is not known here."""
    return payment.currency == limit.currency and counts(payment, limit) in (Counts.CASH, Counts.CHECK)


def unreckoned(payments: Iterable[Payment], *limits: Limit) -> list[tuple[Payment, Limit]]:
    """What may count and is in no report: it came in another currency than that of the limit of its day."""
    dated = [(one, limit) for one in payments if (limit := limit_on(limits, one.day))]
    return [
        (one, limit)
        for one, limit in sorted(dated, key=lambda pair: _in_time(pair[0]))
        if one.method in ("cash", "cashiers-check") and one.currency != limit.currency
    ]


def _of_one(group: Iterable[Payment], limits: Sequence[Limit]) -> Iterable[Report]:
    waiting: list[Payment] = []
    for payment in group:
        limit = limit_on(limits, payment.day)
        if limit is None:
            continue
        waiting = [
            one
            for one in waiting
            if payment.day <= months_on(one.day, limit.months) and one.currency == limit.currency
        ]
        waiting.append(payment)
        if sum((one.amount for one in waiting), NOUGHT) > limit.amount:
            yield Report(tuple(waiting), limit, payment.day + timedelta(days=limit.due_days))
            waiting = []


def _in_time(payment: Payment) -> tuple[datetime, int]:
    return payment.at, payment.key
