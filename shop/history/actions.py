"""Write history beside a change."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import models

from shop.history.models import Entry
from shop.staff.models import User

AT_ONCE = 500  # keys in one statement


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


def empty(entries: "models.QuerySet[Entry]") -> int:
    """Erase the values of these entries, as is owed to a person who is erased; how many had any.

    The one exception from the rule that history is never changed, and the database allows no other
    (shop/migrations/0006_history_can_be_emptied.py): who did what and when stays.
    """
    said = models.Q(old__gt="") | models.Q(new__gt="")
    keys = list(entries.filter(said).order_by().values_list("pk", flat=True))
    past_the_guard: models.QuerySet[Entry] = models.QuerySet(Entry)  # the usual one refuses every change
    return sum(past_the_guard.filter(pk__in=part).update(old="", new="") for part in _in_parts(keys))


def _in_parts(keys: list[int]) -> Iterable[list[int]]:
    return (keys[start : start + AT_ONCE] for start in range(0, len(keys), AT_ONCE))


def changes(
    before: dict[str, Any], after: dict[str, Any], names: dict[str, str]
) -> Iterable[tuple[str, Any, Any]]:
    """Yield (field name for people, old, new) for every value that differs."""
    for key, new in after.items():
        if before.get(key) != new:
            yield names.get(key, key), before.get(key), new


def _text(value: object) -> str:
    return "" if value is None else str(value)
