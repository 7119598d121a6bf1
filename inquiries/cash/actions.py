"""The owner's deed: a limit of cash added. A row that says the same as the last is not added again."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inquiries.cash.models import CashLimit
from shop.history.actions import record
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
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
