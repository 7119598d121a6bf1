"""The owner's deeds: a limit of cash added, a report written down as filed."""

from datetime import date, datetime
from typing import Any

from django.db import transaction

from inquiries.cash.models import CashLimit, CashReport
from inquiries.cash.queries import cautions_on
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.steps import locked
from shop.history.actions import record
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def add_limit(values: dict[str, Any], *, by: User | None, at: datetime) -> CashLimit:
    """Add a limit; a second press gives the row that is there."""
    ShopProfile.objects.select_for_update().filter(pk=1).first()
    last = CashLimit.objects.filter(country=values["country"]).order_by("-pk").first()
    if last and all(getattr(last, name) == value for name, value in values.items()):
        return last
    limit = CashLimit.objects.create(**values, by=by, at=at)
    record(the_shop(), "cash limit added", by=by, at=at, field="cash", new=limit)
    return limit


@transaction.atomic
def file_report(row: LedgerRow, *, filed_on: date, note: str, by: User | None, at: datetime) -> CashReport:
    """Write down that a report was filed for the payment that passed the limit; a second press gives the row there is.

    Raises Refused where no report is called for with this payment, or for a day on which it cannot have been filed.
    """
    sale, shop = locked(row.sale), the_shop()
    if before := CashReport.objects.filter(row=row).first():
        return before
    if row.pk not in {warned.passed_on.pk for warned in cautions_on(sale, shop, at=at)}:
        raise Refused(
            "No report is called for with this payment any longer. Look at the page of the sale as it stands now.",
            code="no-report",
        )
    if not row.came_at.astimezone(shop.zone).date() <= filed_on <= at.astimezone(shop.zone).date():
        raise Refused(
            "It was filed between the day the money came in and today. Check the day.",
            code="filed-out-of-order",
        )
    report = CashReport.objects.create(row=row, filed_on=filed_on, note=note, by=by, at=at)
    record(sale, "cash report filed", by=by, at=at, field="cash", new=report)
    return report
