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
    names = {field.name: str(field.verbose_name) for field in ShopProfile._meta.concrete_fields}
    profile.save()
    for name in fields:
        record(
            profile,
            "changed",
            by=by,
            at=at,
            field=names[name],
            old=getattr(before, name),
            new=getattr(profile, name),
        )
