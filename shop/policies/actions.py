"""The owner's deed: a house policy added. A row that says the same as the last is not added again."""

from datetime import datetime
from typing import Any

from django.db import transaction

from shop.history.actions import record
from shop.policies.models import HousePolicy
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def add_policy(values: dict[str, Any], *, by: User | None, at: datetime) -> HousePolicy:
    """Add a policy; a second press gives the row that is there.

    Raises Refused for a day gone by: what was promised then keeps the policy that it was made under.
    """
    ShopProfile.objects.select_for_update().filter(pk=1).first()
    last = HousePolicy.objects.order_by("-pk").first()
    if last and all(getattr(last, name) == value for name, value in values.items()):
        return last
    today = at.astimezone(the_shop().zone).date()
    if values["starts"] < today:
        raise Refused(
            f"A policy cannot begin on a day gone by. Write {today:%-d %B %Y} or a later day.", code="gone-by"
        )
    policy = HousePolicy.objects.create(**values, by=by, at=at)
    record(the_shop(), "house policy added", by=by, at=at, field="house policy", new=policy)
    return policy
