"""The payments of a buyer as the rules read them, and the reports that they call for."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from inquiries.cash.models import CashLimit, CashReport
from inquiries.cash.rules import Counts, Limit, Payment, Report, counts, reports, unreckoned
from inquiries.people.models import Contact
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import price_charged
from shop.profile.models import ShopProfile

MONEY_IN = (LedgerRow.Kind.DEPOSIT, LedgerRow.Kind.PAYMENT)
AS_CASH = (LedgerRow.Method.CASH, LedgerRow.Method.CASHIERS)  # nothing else ever counts


@dataclass(frozen=True)
class Warned:
    """A report that is due, with the rows it is about, each with why it counts, and the rule.

    `today` is the day it is looked at; `form` is the owner's, to write down that the report was filed.
    """

    report: Report
    rule: CashLimit
    rows: list[tuple[LedgerRow, Counts]]
    today: date
    form: Any = None

    @property
    def passed_on(self) -> LedgerRow:
        """The row that passed the limit."""
        return self.rows[-1][0]

    @property
    def filed(self) -> CashReport | None:
        """The report, once it is filed."""
        return getattr(self.passed_on, "cash_report", None)

    @property
    def overdue(self) -> bool:
        """Whether its day has gone by and it is not filed."""
        return self.filed is None and self.report.due < self.today


@dataclass(frozen=True)
class Foreign:
    """Cash that no report reckons with, since it came in another currency than that of the limit."""

    row: LedgerRow
    limit: Limit

    @property
    def says(self) -> str:
        """Why it is not reckoned, and what decides."""
        return (
            f"Not reckoned, since it came in {self.row.currency}: its worth in {self.limit.currency} decides."
        )


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


def cautions_of(contact: Contact, shop: ShopProfile, *, at: datetime) -> list[Warned]:
    """Every report that the cash of a buyer calls for, by the rules of the shop's country.

    A row that was reversed was a mistake and counts for nothing; a refund takes nothing back of what was received.
    """
    rules = rules_of(shop)
    if not rules:
        return []
    rows = list(_money_in(rules).filter(sale__contact=contact))
    return _warned(_as_payments(rows, shop), rows, rules, at.astimezone(shop.zone).date())


def cautions_open(shop: ShopProfile, *, at: datetime) -> list[Warned]:
    """The reports that the cash of anybody calls for and that are not filed, in a fixed number of queries."""
    rules = rules_of(shop)
    if not rules:
        return []
    rows = list(_money_in(rules).filter(method__in=AS_CASH).select_related("sale__contact"))
    buyers, of_whom = defaultdict(list), {row.pk: row.sale.contact_id for row in rows}
    for payment in _as_payments(rows, shop):
        buyers[of_whom[payment.key]].append(payment)
    today = at.astimezone(shop.zone).date()
    found = [one for payments in buyers.values() for one in _warned(payments, rows, rules, today)]
    return sorted((one for one in found if one.filed is None), key=lambda one: one.report.due)


def rules_of(shop: ShopProfile) -> dict[int, CashLimit]:
    """The limits of the country of the shop."""
    return {row.pk: row for row in CashLimit.objects.filter(country=shop.country)}


def _warned(
    payments: list[Payment], rows: Iterable[LedgerRow], rules: dict[int, CashLimit], today: date
) -> list[Warned]:
    named = {row.pk: row for row in rows}
    return [
        Warned(
            report,
            rules[report.limit.key],
            [(named[payment.key], counts(payment, report.limit)) for payment in report.payments],
            today,
        )
        for report in reports(payments, *map(limit_of, rules.values()))
    ]


def _money_in(rules: dict[int, CashLimit]) -> "QuerySet[LedgerRow]":
    return LedgerRow.objects.filter(
        kind__in=MONEY_IN,
        currency__in={rule.currency for rule in rules.values()},
        reversed_by__isnull=True,
    ).select_related("sale", "cash_report__by")


def _as_payments(rows: Iterable[LedgerRow], shop: ShopProfile) -> list[Payment]:
    rows = list(rows)
    prices = _prices({row.sale_id for row in rows})
    return [
        Payment(
            key=row.pk,
            sale=row.sale_id,
            at=row.came_at,
            day=row.came_at.astimezone(shop.zone).date(),
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


def cautions_on(sale: Sale, shop: ShopProfile, *, at: datetime) -> list[Warned]:
    """Those of them that are about a payment of this sale."""
    return [warned for warned in cautions_of(sale.contact, shop, at=at) if sale.pk in warned.report.sales]


def foreign_of(contact: Contact, shop: ShopProfile) -> list[Foreign]:
    """Cash of a buyer in another currency than that of the limit, of which the owner has to judge."""
    if not (rules := rules_of(shop)):
        return []
    found = LedgerRow.objects.filter(sale__contact=contact, kind__in=MONEY_IN, method__in=AS_CASH)
    rows = list(found.filter(reversed_by__isnull=True).select_related("sale"))
    named = {row.pk: row for row in rows}
    limits = map(limit_of, rules.values())
    return [Foreign(named[one.key], limit) for one, limit in unreckoned(_as_payments(rows, shop), *limits)]


def filed_apart(contact: Contact, named: Iterable[Warned]) -> list[CashReport]:
    """Reports filed for payments of a person that none of the cautions `named` is about any longer.

    A payment that was reversed later calls for no report, and the report that was filed stays readable.
    """
    told = [warned.passed_on.pk for warned in named]
    filed = CashReport.objects.filter(row__sale__contact=contact).exclude(row__in=told)
    return list(filed.select_related("row__sale", "by").order_by("filed_on", "pk"))
