"""The deeds on a record: open it, change it, move it from state to state."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.db import models, transaction
from django.db.models import F

from catalog.instruments.changing import tell_of
from catalog.instruments.models import Instrument, Kind, StockNumber
from shop.history.actions import record
from shop.numbers.actions import next_number
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

FIRST_STOCK_NUMBER = 1001

State = Instrument.State


@transaction.atomic
def open_record(
    kind: Kind, *, by: User | None, at: datetime, stock: int | None = None, **fields: Any
) -> Instrument:
    """Open the record of an instrument as a draft, under the next stock number.

    `stock` takes over a number from older books; Refused when it has ever been given here.
    """
    number = stock or _free_number()
    if StockNumber.objects.filter(number=number).exists():
        raise Refused(
            f"Stock number {number} has been given before and is never given again.", code="number-given"
        )
    StockNumber.objects.create(number=number, given_at=at)
    fields.setdefault("currency", the_shop().currency)
    instrument = Instrument.objects.create(stock_id=number, kind=kind, created_at=at, changed_at=at, **fields)
    record(instrument, "opened", by=by, at=at, new=instrument.name)
    return instrument


def _free_number() -> int:
    number = next_number("stock", first=FIRST_STOCK_NUMBER)
    while StockNumber.objects.filter(number=number).exists():
        number = next_number("stock")
    return number


@transaction.atomic
def change_record(
    instrument: Instrument,
    values: dict[str, Any],
    *,
    by: User | None,
    at: datetime,
    revision: int | None = None,
) -> list[str]:
    """Set `values` on the record, one history row for each that differs; the changed fields' names.

    With `revision`, a change is refused when the record has been changed since; a second press of the
    same form changes nothing and is not refused.
    """
    now = Instrument.objects.select_for_update().get(pk=instrument.pk)
    changed = [name for name, value in values.items() if getattr(now, name) != value]
    if changed:
        refuse_if_changed(now, revision)
    for name in changed:
        _record_field(now, name, values[name], by=by, at=at)
        setattr(now, name, values[name])
    if changed:
        now.revision += 1
        now.changed_at = at
        now.save(update_fields=[*changed, "revision", "changed_at"])
        tell_of(now.pk)
    instrument.refresh_from_db()
    return changed


def refuse_if_changed(now: Instrument, revision: int | None) -> None:
    """Raise Refused when the record has been changed since the page with `revision` was opened."""
    if revision is not None and revision != now.revision:
        raise Refused(
            "This record was changed after you opened the page. What you typed is kept below; "
            "compare it with the record, and save again.",
            code="changed-meanwhile",
        )


def _record_field(now: Instrument, name: str, new: Any, *, by: User | None, at: datetime) -> None:
    label = str(Instrument._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
    record(now, "changed", by=by, at=at, field=label, old=getattr(now, name), new=new)


@transaction.atomic
def change_rows(
    instrument: Instrument,
    what: str,
    save: Callable[[], Any],
    *,
    by: User | None,
    at: datetime,
    revision: int | None = None,
    told: str = "",
) -> bool:
    """Run `save`, which changes rows that hang from the record, and keep the text of those that differ.

    `what` is the relation's name, such as `numbers`; the history calls it `told` where that is no word of the
    trade. True when something differs. With `revision`, a change is refused when the record has been changed since.
    """
    now = Instrument.objects.select_for_update().get(pk=instrument.pk)
    before = rows_as_text(instrument, what)
    save()
    after = rows_as_text(instrument, what)
    if before == after:
        return False
    refuse_if_changed(now, revision)
    touch(instrument, at=at)
    old, new = _differing(before, after)
    record(instrument, "changed", by=by, at=at, field=told or what, old=old, new=new)
    return True


def touch(instrument: Instrument, *, at: datetime) -> None:
    """Note that something the record shows has changed; call it after the change."""
    Instrument.objects.filter(pk=instrument.pk).update(revision=F("revision") + 1, changed_at=at)
    tell_of(instrument.pk)


def rows_as_text(instrument: Instrument, what: str) -> list[str]:
    """Each row of a relation as its history tells it."""
    rows: models.Manager[Any] = getattr(instrument, what)
    named = [field.name for field in _told(rows.model) if field.is_relation]
    return [_row_as_text(row) for row in (rows.select_related(*named) if named else rows.all())]


def _differing(before: list[str], after: list[str]) -> tuple[str, str]:
    """The rows that only one side has; all of them where nothing but their order differs."""
    old = [row for row in before if row not in after]
    new = [row for row in after if row not in before]
    return ("\n".join(old), "\n".join(new)) if old or new else ("\n".join(before), "\n".join(after))


def _told(model: type[models.Model]) -> list[Any]:
    """The columns of a row that its history tells."""
    skipped = {"id", "instrument", "examined_at", "examined_by", "by", "at"}
    return [field for field in model._meta.fields if field.editable and field.name not in skipped]


def _row_as_text(row: models.Model) -> str:
    values = [_told_value(row, field) for field in _told(type(row))]
    return " · ".join(value for value in values if value)


def _told_value(row: models.Model, field: Any) -> str:
    """As people say it: the word of a choice, and of a tick what was ticked."""
    value = getattr(row, field.name)
    if isinstance(field, models.BooleanField):
        return str(field.verbose_name) if value else ""
    if field.choices:
        return str(getattr(row, f"get_{field.name}_display")())
    return "" if value is None else str(value)


def mark_sold(instrument: Instrument, *, by: User | None, at: datetime) -> None:
    """Move a listed piece to the sold archive (called by the closing of its sale)."""
    move(instrument, [State.LISTED], State.SOLD, by=by, at=at, sold_at=at)


def move(
    instrument: Instrument, old: list[State], new: State, *, by: User | None, at: datetime, **also: Any
) -> None:
    """Move the record from one of the `old` states to `new`; Refused when it stands in another."""
    before = Instrument.objects.get(pk=instrument.pk).get_state_display()
    if new == State.LISTED:
        also["listed_at"] = instrument.listed_at or at
    won = Instrument.objects.filter(pk=instrument.pk, state__in=old).update(
        state=new, changed_at=at, revision=F("revision") + 1, **also
    )
    if not won:
        raise Refused(
            f"It stands as “{before}”, so this cannot be done. The page shows how it stands now.",
            code="state",
        )
    record(instrument, "changed", by=by, at=at, field="state", old=before, new=new.label)
    tell_of(instrument.pk)
    instrument.refresh_from_db()
