"""The plan of a sale, and how it stands."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from inquiries.instalments.models import Plan
from inquiries.instalments.rules import Due, Standing, in_default, next_due, overdue, standing
from inquiries.sales.models import Sale
from inquiries.sales.posting_rules import from_minor, in_minor
from inquiries.sales.queries import facts_of
from shop.days import months_on
from shop.money import Money
from shop.profile.queries import the_shop


@dataclass(frozen=True)
class Payments:
    """A plan with its instalments as they stand. Amounts are in minor units."""

    plan: Plan
    rows: list[Standing]

    @property
    def next(self) -> Standing | None:
        """The first that is not paid."""
        return next_due(self.rows)

    @property
    def overdue(self) -> Money:
        """What should have come in by now."""
        return Money(from_minor(overdue(self.rows), self.plan.currency), self.plan.currency)

    @property
    def in_default(self) -> bool:
        """Whether the days of grace are gone."""
        return in_default(self.rows)


def plan_of(sale: Sale) -> Plan | None:
    """The plan that counts: the one agreed last."""
    plans = list(sale.plans.all())
    return plans[-1] if plans else None


def dues_of(plan: Plan) -> list[Due]:
    """The instalments as the rules read them."""
    return [Due(row.due_on, in_minor(row.amount, plan.currency)) for row in plan.instalments.all()]


def payments_of(sale: Sale, *, at: datetime) -> Payments | None:
    """How the plan of a sale stands at `at`, by the calendar of the shop; None without a plan."""
    return payments_on(sale, at.astimezone(the_shop().zone).date()) if plan_of(sale) else None


def payments_on(sale: Sale, today: date) -> Payments | None:
    """The same on a day of the shop, for a list that has asked for the shop already.

    What came in for it is what the plan adds up to, less what is still owed.
    """
    plan = plan_of(sale)
    if plan is None:
        return None
    dues = dues_of(plan)
    owed = in_minor(max(facts_of(sale).balance, Decimal(0)), sale.currency)
    paid = sum(due.minor for due in dues) - owed
    return Payments(plan, standing(dues, paid, on=today, grace=plan.grace_days))


def last_allowed(sale: Sale) -> date:
    """The last day on which an instalment of a sale may fall due, by the policy it was opened under."""
    return months_on(sale.opened_at.astimezone(the_shop().zone).date(), sale.terms.instalment_months)


def instant_due(day: date) -> datetime:
    """The end of a day in the shop's zone, when an instalment of that day becomes late."""
    return instant_after(day, the_shop().zone)


def instant_after(day: date, zone: ZoneInfo) -> datetime:
    """The end of a day in a zone."""
    return datetime.combine(day + timedelta(days=1), time(), tzinfo=zone)
