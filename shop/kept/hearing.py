"""Hear of every change of what public pages show, and stamp it; no deed has to think of it.

Which columns of a model count, and which stamps a row has, is said once with `watch`. Then each row is read before
and after it is written, in whatever manner: saved, removed, updated or made in bulk. Only what differs is stamped.
"""

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import wraps
from itertools import islice
from typing import Any

from django.db.models import Model, QuerySet
from django.db.models.signals import post_save, pre_delete, pre_save

from shop.kept.stamps import EVERYTHING, stamp

AT_ONCE = 500

# The watched values of one row with the names of its stamps, for each watch of its model in turn.
Standing = list[tuple[tuple[Any, ...], frozenset[str]]]


@dataclass(frozen=True)
class Watch:
    """Columns that count, and the stamps of a row: `names` is given what `reads` finds, such as kind__slug."""

    columns: frozenset[str]
    reads: tuple[str, ...]
    names: Callable[..., Iterable[str]]


_watched: dict[type[Model], list[Watch]] = {}


def watch(
    model: type[Model], columns: Collection[str], reads: Iterable[str], names: Callable[..., Iterable[str]]
) -> None:
    """From now on, stamp what `names(*reads)` says of a row when one of `columns` of it changes."""
    if model not in _watched:
        pre_save.connect(_before_save, sender=model, dispatch_uid=f"kept-{model._meta.label}")
        post_save.connect(_after_save, sender=model, dispatch_uid=f"kept-{model._meta.label}")
        pre_delete.connect(_before_delete, sender=model, dispatch_uid=f"kept-{model._meta.label}")
    _watched.setdefault(model, []).append(Watch(frozenset(columns), tuple(reads), names))


def watched() -> dict[type[Model], list[Watch]]:
    """What is watched."""
    return _watched


def hear_sets() -> None:
    """Hear of sets of rows as well: Django has no signal for them, so the two methods are wrapped (called at start)."""
    if not hasattr(QuerySet.update, "__wrapped__"):
        QuerySet.update = _heard_update(QuerySet.update)  # type: ignore[method-assign]
        QuerySet.bulk_create = _heard_bulk(QuerySet.bulk_create)  # type: ignore[method-assign]


def _heard_update(plain: Callable[..., int]) -> Callable[..., int]:
    @wraps(plain)
    def update(rows: QuerySet[Any], **values: Any) -> int:
        if not _counts(rows.model, values):
            return plain(rows, **values)
        keys = list(rows.order_by().values_list("pk", flat=True))
        before = _standing(rows.model, keys)
        many = plain(rows, **values)
        if many == len(keys):
            _tell(before, _standing(rows.model, keys))
        else:  # somebody else's commit came in between, and which rows were meant is no longer known
            stamp([EVERYTHING])
        return many

    return update


def _heard_bulk(plain: Callable[..., list[Any]]) -> Callable[..., list[Any]]:
    @wraps(plain)
    def bulk_create(rows: QuerySet[Any], objs: Iterable[Any], *args: Any, **options: Any) -> list[Any]:
        made = plain(rows, objs, *args, **options)
        if rows.model in _watched:
            keys = [row.pk for row in made]
            if None in keys or options.get("update_conflicts"):  # which rows there are now is not known
                stamp([EVERYTHING])
            else:
                _tell({}, _standing(rows.model, keys))
        return made

    return bulk_create


def _before_save(sender: type[Model], instance: Any, update_fields: Any, **more: Any) -> None:
    if instance.pk is not None and _counts(sender, update_fields):
        instance._stood = _standing(sender, [instance.pk])


def _after_save(sender: type[Model], instance: Any, update_fields: Any, **more: Any) -> None:
    before = instance.__dict__.pop("_stood", {})
    if _counts(sender, update_fields):
        _tell(before, _standing(sender, [instance.pk]))


def _before_delete(sender: type[Model], instance: Any, **more: Any) -> None:
    _tell(_standing(sender, [instance.pk]), {})


def _counts(model: type[Model], fields: Iterable[str] | None) -> bool:
    """Whether a write of these fields (None: of all) can change what is shown."""
    watches = _watched.get(model)
    if not watches:
        return False
    if fields is None:
        return True
    written = {str(getattr(model._meta.get_field(name), "attname", name)) for name in fields if name != "pk"}
    return any(written & one.columns for one in watches)


def _standing(model: type[Model], keys: Collection[Any]) -> dict[Any, Standing]:
    """How the rows with these keys stand, as the transaction sees them."""
    watches, found = _watched[model], {}
    wanted = {name for one in watches for name in (*one.columns, *one.reads)}
    for some in _lots(keys, AT_ONCE):
        for row in model._base_manager.filter(pk__in=some).order_by().values("pk", *wanted):
            found[row["pk"]] = [_seen(row, one) for one in watches]
    return found


def _seen(row: dict[str, Any], one: Watch) -> tuple[tuple[Any, ...], frozenset[str]]:
    columns = tuple(row[name] for name in sorted(one.columns))
    return columns, frozenset(one.names(*(row[name] for name in one.reads)))


def _tell(before: dict[Any, Standing], after: dict[Any, Standing]) -> None:
    names: set[str] = set()
    nothing: Standing = []
    for key in before.keys() | after.keys():
        old, new = before.get(key, nothing), after.get(key, nothing)
        for place in range(max(len(old), len(new))):
            names |= _differing(old[place] if old else None, new[place] if new else None)
    stamp(names)


def _differing(old: tuple[Any, frozenset[str]] | None, new: tuple[Any, frozenset[str]] | None) -> set[str]:
    if old == new:
        return set()
    return {name for side in (old, new) if side for name in side[1]}


def _lots(items: Iterable[Any], many: int) -> Iterator[list[Any]]:
    rest = iter(items)
    while lot := list(islice(rest, many)):
        yield lot
