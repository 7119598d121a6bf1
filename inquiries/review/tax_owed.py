"""The tax owed of the sales that closed in a span: once from their rows and the rules, once from the accounts.

Tax is owed from the day a sale closes: what is charged on top of the price is a row of its ledger, what lies inside the
price is reckoned by the rules of that day. The double entry says the same on the account of tax, which the database
adds up by itself; a sale of which the two say different amounts is named.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.db import connection

from inquiries.review.queries import ended_between
from inquiries.review.rules import Sums
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.posting_rules import from_minor
from inquiries.sales.queries import of_kinds, price_charged
from inquiries.tax.models import TaxPolicy
from inquiries.tax.queries import all_policies, all_rates, asked_of, day_of
from inquiries.tax.rules import Policy, Rate, Reckoned, policy_on, reckon
from shop.money import Money
from shop.profile.models import ShopProfile

Kind = LedgerRow.Kind
NOUGHT = Decimal(0)

SQL = """
SELECT s.number, s.currency,
    COALESCE(SUM(CASE WHEN p.credit = 'tax' THEN p.minor WHEN p.debit = 'tax' THEN -p.minor END), 0)
FROM inquiries_sale s LEFT JOIN inquiries_posting p ON p.sale_id = s.id
WHERE s.outcome = 'closed' AND s.ended_at >= %s AND s.ended_at < %s
GROUP BY s.number, s.currency
"""


@dataclass(frozen=True)
class Head:
    """What like sales have in common."""

    scheme: str
    rates: str
    percent: str
    currency: str


@dataclass
class Line:
    """Sales taxed alike: how many, what was charged for the pieces and for shipping, and the tax owed."""

    head: Head
    many: int = 0
    price: Decimal = NOUGHT
    shipping: Decimal = NOUGHT
    tax: Decimal = NOUGHT


@dataclass(frozen=True)
class Different:
    """A sale of which the rows and the accounts say different amounts."""

    number: str
    by_rows: Money
    by_accounts: Money


@dataclass
class TaxOwed:
    """The lines of a span, their sums by currency, what the accounts say, and what cannot be told."""

    lines: list[Line]
    sums: Sums
    by_accounts: Sums
    different: list[Different] = field(default_factory=list)
    untold: list[str] = field(default_factory=list)


def tax_owed(start: datetime, end: datetime, shop: ShopProfile) -> TaxOwed:
    """The tax of the sales that closed in a span (start in, end out), in a fixed number of queries."""
    policies, rates = all_policies(), all_rates()
    lines: dict[Head, Line] = {}
    owed: dict[str, Money] = {}
    untold = []
    for sale in ended_between(start, end).filter(outcome=Sale.Outcome.CLOSED):
        found = _reckoned(sale, shop, policies, rates)
        if found is not None and found.tax is None:
            untold.append(sale.number)
        owed[sale.number] = _owed(sale, found)
        _count(lines, sale, found, owed[sale.number])
    accounts = by_accounts(start, end)
    return TaxOwed(
        lines=sorted(
            lines.values(), key=lambda line: (line.head.scheme, line.head.rates, line.head.currency)
        ),
        sums=_sums(owed.values()),
        by_accounts=_sums(accounts.values()),
        different=[
            Different(number, amount, accounts[number])
            for number, amount in owed.items()
            if amount != accounts[number]
        ],
        untold=untold,
    )


def by_accounts(start: datetime, end: datetime) -> dict[str, Money]:
    """What the account of tax holds of each sale that closed in the span, added up by the database alone."""
    span = [connection.ops.adapt_datetimefield_value(instant) for instant in (start, end)]
    with connection.cursor() as cursor:
        cursor.execute(SQL, span)
        return {
            number: Money(from_minor(int(minor), currency), currency)
            for number, currency, minor in cursor.fetchall()
        }


def _reckoned(sale: Sale, shop: ShopProfile, policies: list[Policy], rates: list[Rate]) -> Reckoned | None:
    at = sale.ended_at or sale.opened_at
    policy = policy_on(policies, day_of(sale, shop, at=at))
    return reckon(asked_of(sale, shop, policy, at=at), policy, rates) if policy else None


def _owed(sale: Sale, found: Reckoned | None) -> Money:
    """What stands in the ledger on top of the price, and what the rules find inside it."""
    inside = found.tax if found and found.contained and found.tax is not None else NOUGHT
    return Money(of_kinds(sale.rows.all(), {Kind.TAX}) + inside, sale.currency)


def _count(lines: dict[Head, Line], sale: Sale, found: Reckoned | None, owed: Money) -> None:
    head = Head(
        scheme=TaxPolicy.Scheme(found.scheme).label if found else "No tax policy on that day",
        rates=", ".join(rate.jurisdiction for rate in found.rates) if found else "",
        percent=f"{found.percent.normalize():f}" if found and found.rates else "",
        currency=sale.currency,
    )
    line, rows = lines.setdefault(head, Line(head)), list(sale.rows.all())
    line.many += 1
    line.price += price_charged(rows)
    line.shipping += of_kinds(rows, {Kind.SHIPPING})
    line.tax += owed.amount


def _sums(amounts: Iterable[Money]) -> Sums:
    found: Sums = {}
    for money in amounts:
        found[money.currency] = found.get(money.currency, NOUGHT) + money.amount
    return {currency: amount for currency, amount in sorted(found.items()) if amount}
