"""The owner's deeds: a rate, a policy added. A row that says the same as the last is not added again."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inquiries.tax.models import TaxPolicy, TaxRate
from shop.history.actions import record
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.staff.models import User


@transaction.atomic
def add_rate(values: dict[str, Any], *, by: User | None, at: datetime) -> TaxRate:
    """Add a rate; a second press gives the row that is there."""
    ShopProfile.objects.select_for_update().filter(pk=1).first()
    last = TaxRate.objects.filter(jurisdiction__iexact=values["jurisdiction"]).order_by("-pk").first()
    if last and _says(last, values):
        return last
    rate = TaxRate.objects.create(**values, by=by, at=at)
    record(the_shop(), "tax rate added", by=by, at=at, field="tax", new=f"{rate}, from {rate.starts}")
    return rate


@transaction.atomic
def add_policy(values: dict[str, Any], *, by: User | None, at: datetime) -> TaxPolicy:
    """Add a policy; a second press gives the row that is there."""
    ShopProfile.objects.select_for_update().filter(pk=1).first()
    last = TaxPolicy.objects.order_by("-pk").first()
    if last and _says(last, values):
        return last
    policy = TaxPolicy.objects.create(**values, by=by, at=at)
    record(the_shop(), "tax policy added", by=by, at=at, field="tax", new=policy)
    return policy


def _says(row: TaxRate | TaxPolicy, values: dict[str, Any]) -> bool:
    return all(getattr(row, name) == value for name, value in values.items())
