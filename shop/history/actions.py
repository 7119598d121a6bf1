"""Write history beside a change."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import models

from shop.history.models import Entry
from shop.staff.models import User


def record(
    subject: models.Model,
    verb: str,
    *,
    by: User | None,
    at: datetime,
    field: str = "",
    old: object = "",
    new: object = "",
) -> Entry:
    """Add one history entry about `subject`; call it inside the deed's transaction."""
    return Entry.objects.create(
        about=subject._meta.model_name or "",
        about_id=subject.pk,
        verb=verb,
        field=field,
        old=_text(old),
        new=_text(new),
        by=by,
        at=at,
    )


def changes(
    before: dict[str, Any], after: dict[str, Any], names: dict[str, str]
) -> Iterable[tuple[str, Any, Any]]:
    """Yield (field name for people, old, new) for every value that differs."""
    for key, new in after.items():
        if before.get(key) != new:
            yield names.get(key, key), before.get(key), new


def _text(value: object) -> str:
    return "" if value is None else str(value)
