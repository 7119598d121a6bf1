"""Deeds on the staff."""

from datetime import datetime

from django.db import transaction

from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def add_member(member: User, *, by: User, at: datetime) -> User:
    """Keep a new member of staff (filled, unsaved)."""
    member.save()
    record(member, "added", by=by, at=at, new=f"{member} ({member.get_role_display()})")
    return member


@transaction.atomic
def change_member(member: User, fields: list[str], *, by: User, at: datetime) -> None:
    """Keep the changed `fields` of `member`; the last owner stays one, so that the desk is never locked."""
    owners = User.objects.select_for_update().filter(role=User.Role.OWNER, is_active=True)
    if not member.is_owner and not owners.exclude(pk=member.pk).exists():
        raise Refused(
            "The shop needs one owner who can log in. Make somebody else owner first.", code="last-owner"
        )
    before = User.objects.get(pk=member.pk)
    for name in fields:
        record(
            member, "changed", by=by, at=at, field=name, old=getattr(before, name), new=getattr(member, name)
        )
    if fields:
        member.save(update_fields=fields)
