"""The payments of a buyer as the rules read them, and the reports that they call for."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inquiries.cash.models import CashLimit
from inquiries.cash.rules import Counts, Limit, Payment, Report, counts, reports
from inquiries.people.models import Contact
from inquiries.sales.models import LedgerRow, Sale
from inquiries.sales.queries import price_charged
from shop.profile.models import ShopProfile

MONEY_IN = (LedgerRow.Kind.DEPOSIT, LedgerRow.Kind.PAYMENT)


@dataclass(frozen=True)
class Warned:
    """A report that is due, with the rows it is about, each with why it counts, and the rule."""

    report: Report
    rule: CashLimit
    rows: list[tuple[LedgerRow, Counts]]

    @property
    def passed_on(self) -> LedgerRow:
        """The row that passed the limit."""
        return self.rows[-1][0]


def limit_of(row: CashLimit) -> Limit:
    """A row as the rules read it."""
    return Limit(
        key=row.pk,
        country=row.country,
        starts=row.starts,
        amount=row.amount,
        currency=row.currency,
        check_face=row.check_face,
        months=row.months,
        due_days=row.due_days,
        checks_at_any_price=row.checks_at_any_price,
    )


def cautions_of(contact: Contact, shop: ShopProfile) -> list[Warned]:
    """Every report that the cash of a buyer calls for, by the rules of the shop's country.

    A row that was reversed was a mistake and counts for nothing; a refund takes nothing back of what was received.
    """
    rules = {row.pk: row for row in CashLimit.objects.filter(country=shop.country)}
    if not rules:
        return []
    rows = {row.pk: row for row in _money_from(contact, {rule.currency for rule in rules.values()})}
    found = reports(_as_payments(rows.values(), shop), *map(limit_of, rules.values()))
    return [
        Warned(
            report,
            rules[report.limit.key],
            [(rows[payment.key], counts(payment, report.limit)) for payment in report.payments],
        )
        for report in found
    ]


def _money_from(contact: Contact, currencies: set[str]) -> Iterable[LedgerRow]:
    return LedgerRow.objects.filter(
        sale__contact=contact, kind__in=MONEY_IN, currency__in=currencies, reversed_by__isnull=True
    ).select_related("sale")


def _as_payments(rows: Iterable[LedgerRow], shop: ShopProfile) -> list[Payment]:
    rows = list(rows)
    prices = _prices({row.sale_id for row in rows})
    return [
        Payment(
            key=row.pk,
            sale=row.sale_id,
            at=row.at,
            day=row.at.astimezone(shop.zone).date(),
            amount=row.received,
            method=row.method,
            sale_price=prices[row.sale_id],
            currency=row.currency,
        )
        for row in rows
    ]


def _prices(sales: Iterable[int]) -> dict[int, Decimal]:
    found = Sale.objects.filter(pk__in=sales).prefetch_related("rows__reverses")
    return {sale.pk: price_charged(sale.rows.all()) for sale in found}


def cautions_on(sale: Sale, shop: ShopProfile) -> list[Warned]:
    """Those of them that are about a payment of this sale."""
    return [warned for warned in cautions_of(sale.contact, shop) if sale.pk in warned.report.sales]
