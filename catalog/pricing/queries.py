"""What an instrument has cost, and by which index a price of then is told in money of now."""

from decimal import Decimal

from django.db import models

from catalog.instruments.models import Instrument
from catalog.pricing.models import PriceIndex
from shop.money import Money, total


def landed_cost(instrument: Instrument) -> Money:
    """The sum of all cost rows of the instrument, in its currency."""
    rows = instrument.costs.all()
    return total((Money(row.amount, row.currency) for row in rows), instrument.currency)


def indexes() -> "models.QuerySet[PriceIndex]":
    """Every price index, by currency, the one loaded last first, with its years in one further query."""
    return PriceIndex.objects.order_by("currency", "-loaded_at", "-pk").prefetch_related("years")


def index_in_use(currency: str) -> PriceIndex | None:
    """The index that prices in `currency` are told by: the one loaded last. None when there is none."""
    return indexes().filter(currency=currency).first()


def figures_of(index: PriceIndex) -> dict[int, Decimal]:
    """The figure of each year of an index."""
    return {row.year: row.value for row in index.years.all()}


def indexes_in_use() -> dict[str, PriceIndex]:
    """For each currency the index that prices in it are told by, in two queries."""
    return {index.currency: index for index in reversed(list(indexes()))}
