"""The deeds on what dates a maker's work: load a table of numbers, change the dated features."""

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError

from catalog.dating.models import Feature, NumberRange, NumberTable
from catalog.dating.tables import TableLine
from catalog.instruments.models import Maker
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def load_table(
    maker: Maker, what: str, source: str, lines: Iterable[TableLine], *, by: User | None, at: datetime
) -> NumberTable:
    """Add a source's table of a maker's numbers, whole. An older load of the same source is retired, and kept."""
    Maker.objects.select_for_update().get(pk=maker.pk)
    older = NumberTable.objects.filter(maker=maker, what=what, source__iexact=source, retired_at=None)
    retired = older.update(retired_at=at)
    table = NumberTable.objects.create(maker=maker, what=what, source=source, loaded_by=by, loaded_at=at)
    ranges = NumberRange.objects.bulk_create([_range(table, line) for line in lines], batch_size=500)
    told = f"{source}: {len(ranges)} lines" + (", in place of an older load" if retired else "")
    record(maker, "number table loaded", by=by, at=at, field="number tables", new=told)
    return table


def _range(table: NumberTable, line: TableLine) -> NumberRange:
    """The row, with what its date names beside the words: many rows at once are not saved one by one."""
    return NumberRange(
        table=table,
        prefix=line.prefix,
        first=line.first,
        last=line.last,
        page=line.page,
        when=line.made.text,
        when_edtf=line.made.edtf,
        when_earliest=line.made.earliest,
        when_latest=line.made.latest,
    )


@transaction.atomic
def retire_table(table: NumberTable, *, by: User | None, at: datetime) -> None:
    """Offer a table's lines no more. Evidence that rests on one of them stays as it is."""
    if NumberTable.objects.filter(pk=table.pk, retired_at=None).update(retired_at=at):
        record(table.maker, "number table retired", by=by, at=at, field="number tables", old=table.source)


@transaction.atomic
def change_features(maker: Maker, save: Callable[[], Any], *, by: User | None, at: datetime) -> bool:
    """Run `save`, which changes rows of the maker's dated features. True when something differs.

    Refused when a feature that dates an instrument would go.
    """
    Maker.objects.select_for_update().get(pk=maker.pk)
    before = _features_as_text(maker)
    try:
        save()
    except ProtectedError as error:
        raise Refused(_dating_of(error.protected_objects), code="in-use") from error
    after = _features_as_text(maker)
    if before != after:
        record(maker, "changed", by=by, at=at, field="dated features", old=before, new=after)
    return before != after


def _features_as_text(maker: Maker) -> str:
    rows = Feature.objects.filter(maker=maker).select_related("model__maker")
    return "\n".join(
        " · ".join(str(value) for value in (row.name, row.model, row.when, row.source, row.page) if value)
        for row in rows
    )


def _dating_of(users: Iterable[Any]) -> str:
    numbers = sorted(
        {f"{row.instrument.stock_id}{' (struck off)' if row.struck_at else ''}" for row in users}
    )
    return f"A feature that dates an instrument cannot be removed. It dates stock number {', '.join(numbers[:5])}."
