"""What the page of a sale shows of its instalments."""

from datetime import date, datetime
from typing import Any

from inquiries.instalments.forms import PlanForm
from inquiries.instalments.queries import instant_due, last_allowed, payments_of
from inquiries.sales.models import Sale
from inquiries.sales.posting_rules import from_minor
from inquiries.sales.rules import SaleFacts, Step, allowed
from shop.money import Money
from shop.staff.models import User


def instalments_panel(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any] | None:
    """The plan as it stands, and the form of a new one while the balance is open."""
    payments = payments_of(sale, at=at)
    may = allowed(Step.PLAN, facts, at=at) and bool(sale.terms.instalment_months)
    if payments is None and not may:
        return None
    shown = []
    for row in payments.rows if payments else ():
        amounts = (
            Money(from_minor(minor, sale.currency), sale.currency) for minor in (row.due.minor, row.paid)
        )
        shown.append((row, *amounts))
    return {
        "payments": payments,
        "instalments": shown,
        "plan_form": PlanForm(currency=sale.currency, balance=facts.balance) if may else None,
        "plan_until": last_allowed(sale),
        "default_terms": sale.terms if payments and payments.in_default else None,
    }


def next_instalment(sale: Sale, *, at: datetime) -> tuple[datetime, date] | None:
    """The instant by which the next instalment is to come, and its day; None without a plan."""
    payments = payments_of(sale, at=at)
    following = payments.next if payments else None
    return (instant_due(following.due.on), following.due.on) if following else None
