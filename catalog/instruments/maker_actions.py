"""Deeds on makers and models: what is said of a maker, and the lists that hang from a model."""

from collections.abc import Callable
from datetime import datetime
from hashlib import sha256
from typing import Any

from django.db import models, transaction

from catalog.instruments.models import Maker, Model
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User

# The lists that hang from a model, by relation, and what the history calls them.
LISTS = {"usual": "what is usual", "list_prices": "list prices"}


@transaction.atomic
def describe_maker(maker: Maker, values: dict[str, Any], *, by: User | None, at: datetime) -> list[str]:
    """Set `values` on the maker, one history row for each that differs; the changed fields' names."""
    now = Maker.objects.select_for_update().get(pk=maker.pk)
    before = {name: getattr(now, name) for name, value in values.items() if getattr(now, name) != value}
    for name in before:
        setattr(now, name, values[name])
    if before:
        now.save(update_fields=list(before))
    for name, old in before.items():
        label = str(Maker._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
        record(now, "changed", by=by, at=at, field=label, old=old, new=values[name])
    return list(before)


@transaction.atomic
def change_lists(
    model: Model, save: Callable[[], Any], *, by: User | None, at: datetime, as_shown: str = ""
) -> bool:
    """Run `save`, which changes rows of a model's lists; one history row for each list that differs.

    With `as_shown`, the mark of the lists that the page showed, a change is refused when they differ by now.
    """
    Model.objects.select_for_update().get(pk=model.pk)
    before, mark = _as_text(model), mark_of(model)
    save()
    after = _as_text(model)
    changed = [relation for relation in LISTS if before[relation] != after[relation]]
    if changed and as_shown and as_shown != mark:
        raise Refused(
            "These lists were changed after you opened the page. What you typed is kept below; "
            "compare it with the lists, and save again.",
            code="changed-meanwhile",
        )
    for relation in changed:
        old, new = before[relation], after[relation]
        record(model, "changed", by=by, at=at, field=LISTS[relation], old=old, new=new)
    return bool(changed)


def mark_of(model: Model) -> str:
    """A mark that differs whenever a list of the model does."""
    return sha256(repr(_as_text(model)).encode()).hexdigest()[:16]


def _as_text(model: Model) -> dict[str, str]:
    return {relation: _rows_as_text(getattr(model, relation)) for relation in LISTS}


def _rows_as_text(rows: Any) -> str:
    skipped = {"id", "model"}
    told = [field for field in rows.model._meta.fields if field.editable and field.name not in skipped]
    named = [field.name for field in told if field.is_relation]
    found = rows.select_related(*named) if named else rows.all()
    return "\n".join(_row_as_text(row, told) for row in found)


def _row_as_text(row: models.Model, told: list[Any]) -> str:
    values = (getattr(row, field.name) for field in told)
    return " · ".join(str(value) for value in values if value not in (None, ""))
