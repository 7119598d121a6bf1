"""The owner's deed: a rule of a carrier added. A row that says the same as the last is not added again."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inquiries.shipping.models import CarrierRule
from shop.history.actions import record
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.staff.models import User


@transaction.atomic
def add_carrier_rule(values: dict[str, Any], *, by: User | None, at: datetime) -> CarrierRule:
    """Add a rule; a second press gives the row that is there."""
    ShopProfile.objects.select_for_update().filter(pk=1).first()
    last = CarrierRule.objects.filter(carrier=values["carrier"]).order_by("-pk").first()
    if last and all(getattr(last, name) == value for name, value in values.items()):
        return last
    rule = CarrierRule.objects.create(**values, by=by, at=at)
    record(the_shop(), "carrier rule added", by=by, at=at, field="carriers", new=rule)
    return rule
