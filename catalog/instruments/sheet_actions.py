"""Deeds on kinds and their sheets: the owner's."""

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from django.db import models, transaction
from django.db.models import Max, ProtectedError
from django.utils.text import slugify

from catalog.instruments.models import Kind, SheetRow
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def add_kind(name: str, plural: str, *, by: User | None, at: datetime) -> Kind:
    """Add a kind with an empty sheet, behind the others. Refused when its name is taken."""
    slug = slugify(name)
    if not slug or Kind.objects.filter(slug=slug).exists():
        raise Refused(f"There is a kind called “{name}” already, or one too like it.", code="name-taken")
    last = Kind.objects.aggregate(last=Max("position"))["last"] or 0
    kind = Kind.objects.create(slug=slug, name=name, plural=plural, position=last + 1)
    record(kind, "added", by=by, at=at, new=kind)
    return kind


@transaction.atomic
def change_sheet(kind: Kind, what: str, save: Callable[[], Any], *, by: User | None, at: datetime) -> bool:
    """Run `save`, which changes rows of the sheet (`what` is parts, measures, views or configurations).

    Refused when a row that some record uses would go. True when something differs.
    """
    Kind.objects.select_for_update().get(pk=kind.pk)
    before = _as_text(kind, what)
    try:
        save()
    except ProtectedError as error:
        raise Refused(_used_by(error.protected_objects), code="in-use") from error
    after = _as_text(kind, what)
    if before != after:
        record(kind, "changed", by=by, at=at, field=what, old=before, new=after)
    return before != after


def free_slug(row: SheetRow, siblings: Iterable[SheetRow]) -> str:
    """A short name made from the row's name that none of its `siblings` has."""
    taken = {other.slug for other in siblings if other.pk != row.pk}
    base = slugify(row.name)[:40] or "row"
    slug, number = base, 2
    while slug in taken:
        slug, number = f"{base}-{number}", number + 1
    return slug


def _as_text(kind: Kind, what: str) -> str:
    rows: models.Manager[Any] = getattr(kind, what)
    return "\n".join(_row_as_text(row) for row in rows.all())


def _row_as_text(row: models.Model) -> str:
    shown = (
        getattr(row, field.name) for field in row._meta.fields if field.name not in {"id", "kind", "slug"}
    )
    return " · ".join(str(value) for value in shown if value not in (None, "", []))


def _used_by(users: Iterable[Any]) -> str:
    """Records are named by stock number; what is usual on a model, by the model."""
    holders = [getattr(user, "instrument", user) for user in users]
    numbers = sorted({holder.stock_id for holder in holders if hasattr(holder, "stock_id")})
    models = sorted({str(holder.model) for holder in holders if not hasattr(holder, "stock_id")})
    used = [f"stock number {_some(numbers)}"] if numbers else []
    used += [f"what is usual on the {_some(models)}"] if models else []
    return f"A row that is in use cannot be removed. It is used by {', and by '.join(used)}."


def _some(names: list[Any]) -> str:
    more = f" and {len(names) - 5} more" if len(names) > 5 else ""
    return ", ".join(str(name) for name in names[:5]) + more
