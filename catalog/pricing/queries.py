"""What an instrument has cost, on what terms it is here, and by which index a price of then is told in money of now."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from typing import Final

from django.db import models

from catalog.instruments.models import Instrument
from catalog.pricing.models import Acquisition, Agreement, Cost, PriceIndex
from catalog.pricing.share_rules import Terms, Tier, flat
from shop.money import Money, total

CONSIGNED: Final = Acquisition.How.CONSIGNED
FOR_REPAIRS: Final = {Cost.Kind.REPAIR, Cost.Kind.PARTS, Cost.Kind.SETUP}


def landed_cost(instrument: Instrument) -> Money:
    """The sum of all cost rows of the instrument, in its currency."""
    rows = instrument.costs.all()
    return total((Money(row.amount, row.currency) for row in rows), instrument.currency)


def is_consigned(instrument: Instrument) -> bool:
    """Whether it belongs to somebody else."""
    acquisition = getattr(instrument, "acquisition", None)
    return acquisition is not None and acquisition.how == CONSIGNED


def agreement_on(
    instrument: Instrument, day: date, *, written_by: datetime | None = None
) -> Agreement | None:
    """The agreement of a consigned piece on a day: the one that began last; of two of one day, the one added later.

    It goes on after its end until another takes its place. With `written_by`, only rows written by that instant count.
    Reads `agreements`, which can be prefetched.
    """
    if not is_consigned(instrument):
        return None
    begun = [
        row
        for row in instrument.agreements.all()
        if row.starts <= day and (written_by is None or row.at <= written_by)
    ]
    return max(begun, key=lambda row: (row.starts, row.pk), default=None)


def run_out_since(instrument: Instrument, day: date) -> date | None:
    """The last day of the agreement on which a piece is here, once it has gone by; None while one runs, or if sold."""
    agreement = None if instrument.state == Instrument.State.SOLD else agreement_on(instrument, day)
    return agreement.ends if agreement and agreement.ends and agreement.ends < day else None


def consigned_in_stock() -> "models.QuerySet[Instrument]":
    """Pieces of others that are here to be sold, with their agreements, in a fixed number of queries."""
    there = [Instrument.State.DRAFT, Instrument.State.LISTED]
    return (
        Instrument.objects.named()
        .filter(state__in=there, acquisition__how=CONSIGNED)
        .select_related("acquisition")
        .prefetch_related("agreements")
        .order_by("pk")
    )


def terms_of(agreement: Agreement) -> Terms:
    """How its commission is reckoned (reads its tiers)."""
    return Terms(
        tuple(Tier(tier.above, tier.percent) for tier in agreement.tiers.all()),
        least=agreement.least,
        net=agreement.basis == Agreement.Basis.NET,
    )


def terms_by(instrument: Instrument, agreement: Agreement | None) -> Terms | None:
    """The terms of a consigned piece: of its agreement, or else the one rate of its acquisition; None for our own."""
    if not is_consigned(instrument):
        return None
    return terms_of(agreement) if agreement else flat(instrument.acquisition.commission_percent or Decimal(0))


def borne_by_consignor(
    rows: Iterable[Cost], agreement: Agreement | None, *, written_by: datetime | None = None
) -> list[Cost]:
    """Those of the cost rows that the consignor bears, in the currency of the agreement; without an agreement, none.

    Repairs are borne with their parts and the set-up. A purchase and other costs are the shop’s.
    """
    if agreement is None:
        return []
    kinds: set[str] = set()
    if agreement.repairs_by == Agreement.Bears.CONSIGNOR:
        kinds |= FOR_REPAIRS
    if agreement.shipping_in_by == Agreement.Bears.CONSIGNOR:
        kinds.add(Cost.Kind.SHIPPING_IN)
    return [
        row
        for row in rows
        if row.kind in kinds
        and row.currency == agreement.currency
        and (written_by is None or row.at <= written_by)
    ]


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
