"""Deeds on the profile."""

from datetime import datetime

from django.db import transaction

from shop.history.actions import record
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.staff.models import User


@transaction.atomic
def save_profile(profile: ShopProfile, fields: list[str], *, by: User | None, at: datetime) -> None:
    """Keep the profile, with a history row for each of the changed `fields`."""
    before = the_shop()
    profile.save()
    for name in fields:
        record(
            profile,
            "changed",
            by=by,
            at=at,
            field=str(profile._meta.get_field(name).verbose_name),
            old=getattr(before, name),
            new=getattr(profile, name),
        )
