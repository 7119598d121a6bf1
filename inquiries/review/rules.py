"""The figures of a month, from values alone.

Amounts in different currencies are never added: every sum of money is kept by currency.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from statistics import median

from shop.hours.rules import OpenWeek, open_time
from shop.months import Month

TENTH = Decimal("0.1")
SECOND = timedelta(seconds=1)
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")

Amount = tuple[str, Decimal]
Sums = dict[str, Decimal]


@dataclass(frozen=True)
class Sold:
    """One closed sale. `price` is net of what was taken back; `costs` are our own; `share` is the consignor's.

    `consigned` tells a piece of somebody else's from the shop's own stock.
    """

    currency: str
    price: Decimal
    costs: tuple[Amount, ...]
    share: Decimal
    days: int
    month: Month
    consigned: bool = False

    @property
    def landed(self) -> list[Amount]:
        """What it cost us in all: our own costs, and the consignor's share."""
        return [*self.costs, (self.currency, self.share)]


@dataclass(frozen=True)
class Wait:
    """How long a first question waited for our first answer; None for both while it waits."""

    clock: timedelta | None
    opening: timedelta | None

    @classmethod
    def between(cls, asked: datetime, answered: datetime | None, week: OpenWeek) -> "Wait":
        """By the clock, and in the shop's opening hours."""
        if answered is None:
            return cls(None, None)
        return cls(answered - asked, open_time(asked, answered, week))


@dataclass(frozen=True)
class Rows:
    """Everything a month's figures are computed from."""

    sold: Sequence[Sold] = ()
    waits: Sequence[Wait] = ()  # one for each inquiry in which something was asked
    holds_placed: int = 0
    holds_lapsed: int = 0
    holds_released: int = 0
    balances: Sequence[
        Amount
    ] = ()  # of the sales open at the cut: above nought owed to us, below nought by us
    shares_unpaid: Sequence[Amount] = ()
    kept: Sequence[Amount] = ()  # of sales ended without the instrument going: what was not paid back
    returned: int = 0
    fell_through: int = 0


@dataclass(frozen=True)
class Figures:
    """The month's figures. Sums are by currency; a median of nothing is None."""

    closed: int
    revenue: Sums
    landed: Sums
    margin: Sums
    margin_percent: dict[str, Decimal | None]
    consigned: int
    consigned_revenue: Sums
    consigned_margin: Sums
    median_days: Decimal | None
    longest_days: int | None
    inquiries: int
    unanswered: int
    median_wait: Decimal | None  # hours
    longest_wait: Decimal | None  # hours
    median_open_wait: Decimal | None  # opening hours
    longest_open_wait: Decimal | None  # opening hours
    holds_placed: int
    holds_lapsed: int
    holds_released: int
    owed_to_us: Sums
    refunds_due: Sums
    shares_unpaid: Sums
    kept: Sums
    returned: int
    fell_through: int


def figures(rows: Rows) -> Figures:
    """Everything the month's page says, from its rows."""
    revenue = sums((sale.currency, sale.price) for sale in rows.sold)
    landed = sums(amount for sale in rows.sold for amount in sale.landed)
    margin = difference(revenue, landed)
    others = [sale for sale in rows.sold if sale.consigned]
    others_revenue = sums((sale.currency, sale.price) for sale in others)
    days = [sale.days for sale in rows.sold]
    waits = [wait.clock // SECOND for wait in rows.waits if wait.clock is not None]
    open_waits = [wait.opening // SECOND for wait in rows.waits if wait.opening is not None]
    return Figures(
        closed=len(rows.sold),
        revenue=revenue,
        landed=landed,
        margin=margin,
        margin_percent={currency: per_cent(margin[currency], revenue.get(currency)) for currency in margin},
        consigned=len(others),
        consigned_revenue=others_revenue,
        consigned_margin=difference(
            others_revenue, sums(amount for sale in others for amount in sale.landed)
        ),
        median_days=Decimal(str(median(days))) if days else None,
        longest_days=max(days, default=None),
        inquiries=len(rows.waits),
        unanswered=len(rows.waits) - len(waits),
        median_wait=hours(median(waits)) if waits else None,
        longest_wait=hours(max(waits)) if waits else None,
        median_open_wait=hours(median(open_waits)) if open_waits else None,
        longest_open_wait=hours(max(open_waits)) if open_waits else None,
        holds_placed=rows.holds_placed,
        holds_lapsed=rows.holds_lapsed,
        holds_released=rows.holds_released,
        owed_to_us=sums((currency, owed) for currency, owed in rows.balances if owed > 0),
        refunds_due=sums((currency, -owed) for currency, owed in rows.balances if owed < 0),
        shares_unpaid=sums(rows.shares_unpaid),
        kept=sums(rows.kept),
        returned=rows.returned,
        fell_through=rows.fell_through,
    )


def sums(amounts: Iterable[Amount]) -> Sums:
    """The sum for each currency that occurs."""
    found: Sums = defaultdict(Decimal)
    for currency, amount in amounts:
        found[currency] += amount
    return dict(found)


def difference(one: Sums, other: Sums) -> Sums:
    """`one` less `other`, currency by currency."""
    return {key: one.get(key, Decimal(0)) - other.get(key, Decimal(0)) for key in {**one, **other}}


def per_cent(part: Decimal, whole: Decimal | None) -> Decimal | None:
    """`part` of `whole` in per cent, to the tenth; None when there is no whole."""
    return (part * 100 / whole).quantize(TENTH, ROUND_HALF_UP) if whole else None


def hours(seconds: float) -> Decimal:
    """A span of seconds in hours, to the tenth."""
    return (Decimal(str(seconds)) / 3600).quantize(TENTH, ROUND_HALF_UP)


def by_month(
    sold: Iterable[Sold], months: Sequence[Month], currency: str
) -> list[tuple[Month, Decimal, Decimal]]:
    """For each of `months`: revenue and gross margin in one currency."""
    kept: dict[Month, list[Sold]] = defaultdict(list)
    for sale in sold:
        kept[sale.month].append(sale)
    found = []
    for month in months:
        now = figures(Rows(sold=kept[month]))
        nought = Decimal(0)
        found.append((month, now.revenue.get(currency, nought), now.margin.get(currency, nought)))
    return found


def guarded(cell: str) -> str:
    """A text cell that a spreadsheet would take for a formula gets an apostrophe in front.

    Source of the signs: OWASP, “CSV Injection”, from memory.
    """
    return f"'{cell}" if cell.startswith(FORMULA_SIGNS) else cell


@dataclass(frozen=True)
class Line:
    """One figure of two months side by side. `unit` is a currency, or count, days, hours, opening hours, per cent."""

    name: str
    unit: str
    now: Decimal | int | None
    before: Decimal | int | None
    money: bool = False
    change: Decimal | int | None = field(init=False)

    def __post_init__(self) -> None:
        both = self.now is not None and self.before is not None
        object.__setattr__(self, "change", self.now - self.before if both else None)  # type: ignore[operator]


def side_by_side(now: Figures, before: Figures, currency: str) -> list[Line]:
    """The figures of a month beside those of the same month of the year before; `currency` comes first."""
    return [
        Line("Sales closed", "count", now.closed, before.closed),
        Line("Sales closed, of them pieces on consignment", "count", now.consigned, before.consigned),
        *_money("Revenue", now.revenue, before.revenue, currency),
        *_money(
            "Revenue, of it from pieces on consignment",
            now.consigned_revenue,
            before.consigned_revenue,
            currency,
        ),
        *_money("Landed cost", now.landed, before.landed, currency),
        *_money("Gross margin", now.margin, before.margin, currency),
        *_money(
            "Gross margin, of it from pieces on consignment",
            now.consigned_margin,
            before.consigned_margin,
            currency,
        ),
        *_shares("Gross margin of revenue", now.margin_percent, before.margin_percent, currency),
        Line("Days in stock, median of what sold", "days", now.median_days, before.median_days),
        Line("Days in stock, longest of what sold", "days", now.longest_days, before.longest_days),
        Line("Inquiries received", "count", now.inquiries, before.inquiries),
        Line("Inquiries answered", "count", _answered(now), _answered(before)),
        Line("Inquiries not answered yet", "count", now.unanswered, before.unanswered),
        Line("Time to first answer, median", "hours", now.median_wait, before.median_wait),
        Line("Time to first answer, median", "opening hours", now.median_open_wait, before.median_open_wait),
        Line("Time to first answer, longest", "hours", now.longest_wait, before.longest_wait),
        Line(
            "Time to first answer, longest", "opening hours", now.longest_open_wait, before.longest_open_wait
        ),
        Line("Holds placed", "count", now.holds_placed, before.holds_placed),
        Line("Holds lapsed", "count", now.holds_lapsed, before.holds_lapsed),
        Line("Holds released", "count", now.holds_released, before.holds_released),
        *_money("Owed to us at the end", now.owed_to_us, before.owed_to_us, currency),
        *_money("Owed by us to consignors at the end", now.shares_unpaid, before.shares_unpaid, currency),
        *_money("Refunds due by us at the end", now.refunds_due, before.refunds_due, currency),
        Line("Sales returned", "count", now.returned, before.returned),
        Line("Sales fallen through", "count", now.fell_through, before.fell_through),
        *_money("Kept of sales that did not go", now.kept, before.kept, currency),
    ]


def _answered(month: Figures) -> int:
    return month.inquiries - month.unanswered


def _order(currency: str, *kept: Iterable[str]) -> list[str]:
    others = sorted({key for keys in kept for key in keys} - {currency})
    return [currency, *others]


def _money(name: str, now: Sums, before: Sums, currency: str) -> list[Line]:
    nought = Decimal(0)
    return [
        Line(name, key, now.get(key, nought), before.get(key, nought), money=True)
        for key in _order(currency, now, before)
    ]


def _shares(
    name: str, now: dict[str, Decimal | None], before: dict[str, Decimal | None], currency: str
) -> list[Line]:
    keys = _order(currency, now, before)
    return [
        Line(f"{name}, {key}" if len(keys) > 1 else name, "per cent", now.get(key), before.get(key))
        for key in keys
    ]
