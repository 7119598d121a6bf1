"""Which instruments a public page shows, with everything the page needs in a fixed number of queries."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db.models import F, Q

from catalog.instruments.availability import annotated
from catalog.instruments.models import Configuration, Instrument, Kind, Maker
from catalog.instruments.queries import InstrumentQuerySet
from catalog.originality.queries import with_word

PAGE_LENGTH = 24
ORDERS = {
    "newest": (F("listed_at").desc(), F("stock_id").desc()),
    "price-rising": (F("asking_price").asc(nulls_last=True), F("stock_id").desc()),
    "price-falling": (F("asking_price").desc(nulls_last=True), F("stock_id").desc()),
}


# What a visitor chose, by the names of CatalogueFilter's fields; an empty value chooses nothing.
Narrowing = Mapping[str, Any]


def cards(instruments: InstrumentQuerySet, *, at: datetime) -> InstrumentQuerySet:
    """Instruments with all that a card shows: names, `taken`, `word` and the photographs (`ready`)."""
    return annotated(with_word(instruments.named()), at=at).with_lead()


def pages(instruments: InstrumentQuerySet, *, at: datetime) -> InstrumentQuerySet:
    """Instruments with all that a listing shows."""
    return cards(instruments, at=at).prefetch_related(
        "numbers",
        "dating__paper",
        "included",
        "provenance__paper",
        "papers",
        "measurements__measure",
        "findings__part__parent",
        "findings__paper",
        "kind__parts",
        "model__usual__measure",
        "model__list_prices",
        "seen_features",
        "unusual__paper",
    )


def narrowed(chosen: Narrowing, *, currency: str, at: datetime) -> InstrumentQuerySet:
    """Cards of what answers to every choice, in the chosen order; the price band is in `currency`."""
    found = cards(Instrument.objects.listed(), at=at)
    found = found.filter(*_identity(chosen), *_price(chosen, currency))
    if wanted := chosen.get("originality"):
        found = found.filter(Q(word=wanted))
    if wanted := chosen.get("availability"):
        found = found.filter(Q(taken=wanted == "on-hold"))
    return found.order_by(*ORDERS[chosen.get("sort") or "newest"])


def _identity(chosen: Narrowing) -> list[Q]:
    asked = []
    if kind := chosen.get("kind"):
        asked.append(Q(kind__slug=kind))
    if maker := chosen.get("maker"):
        asked.append(Q(maker__in=[row.pk for row in makers_listed() if row.slug == maker]))
    if configuration := chosen.get("configuration"):
        kind, _, slug = configuration.partition(".")
        asked.append(Q(configuration_now__kind__slug=kind, configuration_now__slug=slug))
    return asked


def _price(chosen: Narrowing, currency: str) -> list[Q]:
    """A band leaves out pieces priced on request, or in another currency: they cannot be compared."""
    lowest, highest = chosen.get("price_from"), chosen.get("price_to")
    asked = []
    if lowest is not None:
        asked.append(Q(asking_price__gte=lowest, currency=currency))
    if highest is not None:
        asked.append(Q(asking_price__lte=highest, currency=currency))
    return asked


def kinds_listed() -> list[Kind]:
    """Kinds of which something is listed, in the shop's order."""
    return list(Kind.objects.filter(instruments__state="listed").distinct())


def makers_listed() -> list[Maker]:
    """Makers of whom something is listed, by name."""
    return list(Maker.objects.filter(instruments__state="listed").distinct())


def configurations_listed() -> list[Configuration]:
    """Configurations in which something listed stands, by kind and place on the sheet."""
    standing = Instrument.objects.filter(state="listed").values("configuration_now")
    return list(
        Configuration.objects.filter(pk__in=standing)
        .select_related("kind")
        .order_by("kind__position", "kind__name", "position", "pk")
    )


def addresses() -> list[tuple[str, datetime]]:
    """The address of every public instrument with the instant its record last changed, by stock number."""
    public = Instrument.objects.public().named().order_by("stock_id")
    return [(instrument.get_absolute_url(), instrument.changed_at) for instrument in public]
