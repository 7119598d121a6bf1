"""Which instruments a public page shows, with everything the page needs in a fixed number of queries."""

from collections.abc import Sequence
from datetime import datetime

from django.db.models import Exists, Prefetch

from catalog.instruments.availability import annotated
from catalog.instruments.models import Instrument
from catalog.instruments.queries import InstrumentQuerySet
from catalog.originality.queries import with_word
from catalog.recordings.models import Recording
from catalog.striking.queries import with_struck
from shop.profile.models import ShopProfile

PAGE_LENGTH = 24


def cards(instruments: InstrumentQuerySet, *, at: datetime) -> InstrumentQuerySet:
    """Instruments with all that a card shows: names, `taken`, `word`, `price_told` and the photographs (`ready`)."""
    telling = Exists(ShopProfile.objects.filter(pk=1, sold_prices=True))
    return annotated(with_word(instruments.named()), at=at).annotate(price_told=telling).with_lead()


def pages(instruments: InstrumentQuerySet, *, at: datetime) -> InstrumentQuerySet:
    """Instruments with all that a listing shows."""
    return cards(instruments, at=at).prefetch_related(
        "numbers",
        "dating__paper",
        with_struck("dating"),
        "included",
        "provenance__paper",
        "papers",
        Prefetch("recordings", queryset=Recording.objects.ready()),
        "measurements__measure",
        "findings__part__parent",
        "findings__paper",
        "kind__parts",
        "model__usual__measure",
        "model__list_prices",
        "seen_features",
        "unusual__paper",
    )


def cards_of(stocks: Sequence[int], *, at: datetime) -> list[Instrument]:
    """Cards of the listed pieces with these stock numbers, in this order."""
    listed = {row.stock_id: row for row in cards(Instrument.objects.listed().filter(stock__in=stocks), at=at)}
    return [listed[stock] for stock in stocks if stock in listed]


def first_cards(instruments: InstrumentQuerySet, most: int, *, at: datetime) -> list[Instrument]:
    """Cards of the first `most` pieces, in their order. Which they are is found before anything is told of them."""
    keys = list(instruments.values_list("pk", flat=True)[:most])
    found = {row.pk: row for row in cards(Instrument.objects.filter(pk__in=keys), at=at)}
    return [found[key] for key in keys]


def many_public() -> int:
    """How many instruments the public may open."""
    return Instrument.objects.public().count()


def addresses(first: int, last: int) -> list[tuple[str, datetime]]:
    """The addresses of public instruments from one place to another, by stock number, with when each last changed."""
    public = Instrument.objects.public().named().order_by("stock_id")[first:last]
    return [(instrument.get_absolute_url(), instrument.changed_at) for instrument in public]
