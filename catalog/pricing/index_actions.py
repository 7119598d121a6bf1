"""Load a price index: the owner's deed."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from catalog.pricing.models import IndexYear, PriceIndex
from catalog.pricing.queries import figures_of
from shop.history.actions import record
from shop.staff.models import User


@transaction.atomic
def load_index(
    name: str, currency: str, source: str, figures: Mapping[int, Decimal], *, by: User | None, at: datetime
) -> PriceIndex:
    """Put `figures` (by year) in the place of all that the index of that name held; a new name is a new index.

    The history keeps every figure that went or changed. The same figures again change nothing.
    """
    index, new = PriceIndex.objects.select_for_update().get_or_create(
        name__iexact=name,
        defaults={"name": name, "currency": currency, "source": source, "loaded_at": at},
    )
    before = {} if new else figures_of(index)
    described = (index.currency, index.source) == (currency, source)
    if not new and described and before == dict(figures):
        return index
    if new:
        record(index, "added", by=by, at=at, new=index)
    _describe(index, currency, source, by=by, at=at)
    _replace(index, before, figures, by=by, at=at)
    return index


def _describe(index: PriceIndex, currency: str, source: str, *, by: User | None, at: datetime) -> None:
    for column, new in {"currency": currency, "source": source}.items():
        old = getattr(index, column)
        if old != new:
            record(index, "changed", by=by, at=at, field=column, old=old, new=new)
            setattr(index, column, new)
    index.loaded_at = at
    index.save(update_fields=["currency", "source", "loaded_at"])


def _replace(
    index: PriceIndex,
    before: Mapping[int, Decimal],
    figures: Mapping[int, Decimal],
    *,
    by: User | None,
    at: datetime,
) -> None:
    differing = sorted(year for year in {*before, *figures} if before.get(year) != figures.get(year))
    if not differing:
        return
    index.years.all().delete()
    IndexYear.objects.bulk_create(
        IndexYear(index=index, year=year, value=value) for year, value in sorted(figures.items())
    )
    record(
        index,
        "changed",
        by=by,
        at=at,
        field="figures",
        old=_as_text(before, differing),
        new=_as_text(figures, differing),
    )


def _as_text(figures: Mapping[int, Decimal], years: list[int]) -> str:
    return "\n".join(f"{year}: {figures[year].normalize():f}" for year in years if year in figures)
