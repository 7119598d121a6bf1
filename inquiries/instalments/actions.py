"""Agree on instalments."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from inquiries.instalments.models import Instalment, Plan
from inquiries.instalments.queries import last_allowed
from inquiries.instalments.rules import Due, objection
from inquiries.sales.models import Sale
from inquiries.sales.posting_rules import from_minor, in_minor
from inquiries.sales.queries import facts_of
from inquiries.sales.rules import Step
from inquiries.sales.steps import check, locked
from shop.history.actions import record
from shop.money import Money
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def agree(sale: Sale, dues: Sequence[Due], *, note: str, entry: str, by: User | None, at: datetime) -> Plan:
    """Keep a plan for the balance of a sale; a later one takes its place. A form sent twice is one plan.

    Raises Refused, with the sentence of the rule, for a plan that does not fit the balance or the policy.
    """
    sale = locked(sale)
    if before := Plan.objects.filter(entry=entry).first():
        return before
    check(sale, Step.PLAN, at=at)
    terms = sale.terms
    if not terms.instalment_months:
        raise Refused(
            "The house policy of this sale allows no instalments. Ask for the balance at once; what the owner changes "
            "in the policy counts for later sales.",
            code="no-instalments",
        )
    balance = in_minor(max(facts_of(sale).balance, Decimal(0)), sale.currency)
    today = at.astimezone(the_shop().zone).date()
    if why := objection(dues, balance=balance, today=today, last_allowed=last_allowed(sale)):
        raise Refused(
            f"{why} The balance is {Money(from_minor(balance, sale.currency), sale.currency)}.", code="plan"
        )
    plan = Plan.objects.create(
        sale=sale, grace_days=terms.grace_days, currency=sale.currency, note=note, entry=entry, by=by, at=at
    )
    for due in dues:
        amount = from_minor(due.minor, sale.currency)
        Instalment.objects.create(plan=plan, due_on=due.on, amount=amount)
    record(sale, "instalments agreed", by=by, at=at, new=f"{len(dues)}, the last on {dues[-1].on:%-d %B %Y}")
    return plan
