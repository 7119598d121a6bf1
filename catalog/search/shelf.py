"""The shelf in memory: every listed piece at its place, newest first, and for each choice the places it means.

It is read once for each edition of the shelf and shared by all requests of a process; whether it is still the newest
is asked of the database each time. So counts beside the choices cost no query, and are exact.
"""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from threading import Lock
from typing import Any, NamedTuple

from catalog.instruments.addresses import maker_places
from catalog.instruments.models import Configuration, Instrument, Kind, Maker
from catalog.search.bits import all_below, bits_at, slices_of
from catalog.search.models import Edition
from catalog.search.shelving import fill

PER_UNIT = 100  # prices are kept in hundredths


class Row(NamedTuple):
    """One listed piece, as it is read."""

    stock: int
    instrument: int
    kind: int
    maker: int | None
    configuration: int | None
    made_as: int | None
    earliest: int | None
    latest: int | None
    price: Decimal | None
    currency: str
    listed_at: datetime
    word: str


COLUMNS = (
    "stock_id", "pk", "kind", "maker", "configuration_now", "configuration_made", "made_earliest", "made_latest",
    "asking_price", "currency", "listed_at", "shelved__word",
)  # fmt: skip


class Choice(NamedTuple):
    """A value that may be chosen, as it is spoken; `group` heads those that belong together.

    On the shelf the names are as the dealer typed them; `choices_of` in narrowing.py says them to a reader.
    """

    value: str
    says: str
    group: str = ""


@dataclass(frozen=True)
class Shelf:
    """All that the catalogue narrows by. Places are bits (catalog/search/bits.py)."""

    edition: str
    stocks: list[int]
    instruments: list[int]
    listed_at: list[datetime]
    prices: dict[str, list[int]]
    priced: dict[str, int]
    rising: list[int]
    falling: list[int]
    choices: dict[str, list[Choice]]
    meant: dict[str, dict[str, int]]
    former_makers: dict[str, str]
    place_of_stock: dict[int, int] = field(repr=False)
    place_of_instrument: dict[int, int] = field(repr=False)

    @property
    def every(self) -> int:
        """Every place."""
        return all_below(len(self.stocks))


_kept: list[Shelf] = []
_reading = Lock()


def the_shelf() -> Shelf:
    """The shelf as the database has it now."""
    mark = _mark()
    if not mark:
        fill()
        mark = _mark()
    if _kept and _kept[0].edition == mark:
        return _kept[0]
    with _reading:
        if not (_kept and _kept[0].edition == mark):
            # The mark was read before the rows: they are of that edition, or newer, and then they are read again.
            _kept[:] = [read(mark)]
        return _kept[0]


def _mark() -> str:
    return Edition.objects.values_list("mark", flat=True).first() or ""


def read(edition: str) -> Shelf:
    """The shelf, drawn from the record."""
    rows = [Row(*values) for values in _rows()]
    size, spoken = len(rows), _names()
    meant = {name: _places(map(value, rows), size) for name, value in _columns(spoken).items()}
    amounts = _amounts(rows)
    return Shelf(
        edition=edition,
        stocks=[row.stock for row in rows],
        instruments=[row.instrument for row in rows],
        listed_at=[row.listed_at for row in rows],
        prices={currency: slices_of(found, size) for currency, found in amounts.items()},
        priced={
            currency: bits_at((place for place, _ in found), size) for currency, found in amounts.items()
        },
        rising=sorted(range(size), key=lambda place: (_price(rows[place], Decimal("Infinity")), place)),
        falling=sorted(range(size), key=lambda place: (-_price(rows[place], Decimal("-Infinity")), place)),
        choices=_choices(spoken, meant),
        meant=meant,
        former_makers=spoken.former,
        place_of_stock={row.stock: place for place, row in enumerate(rows)},
        place_of_instrument={row.instrument: place for place, row in enumerate(rows)},
    )


def _rows() -> Any:
    listed = Instrument.objects.filter(state=Instrument.State.LISTED)
    return listed.order_by("-listed_at", "-stock").values_list(*COLUMNS)


def _price(row: Row, unknown: Decimal) -> Decimal:
    return unknown if row.price is None else row.price


def _amounts(rows: list[Row]) -> dict[str, list[tuple[int, int]]]:
    """By currency: the place and the price, in hundredths, of each piece that has one."""
    found = defaultdict(list)
    for place, row in enumerate(rows):
        if row.price is not None:
            found[row.currency].append((place, int(row.price * PER_UNIT)))
    return found


class Names(NamedTuple):
    """What kinds, makers and configurations are called, by their keys and in order; where makers once stood."""

    kinds: dict[int, Choice]
    makers: dict[int, Choice]
    configurations: dict[int, Choice]
    former: dict[str, str]


def _names() -> Names:
    sheets = Configuration.objects.select_related("kind").order_by(
        "kind__position", "kind__name", "position", "pk"
    )
    places = maker_places()
    return Names(
        kinds={kind.pk: Choice(kind.slug, kind.plural) for kind in Kind.objects.all()},
        makers={
            maker.pk: Choice(places.slugs[maker.pk], maker.name) for maker in Maker.objects.order_by("name")
        },
        configurations={
            row.pk: Choice(f"{row.kind.slug}.{row.slug}", row.name, row.kind.name) for row in sheets
        },
        former={slug: places.slugs[key] for slug, key in places.former.items() if key in places.slugs},
    )


def _columns(spoken: Names) -> dict[str, Callable[[Row], Iterable[str]]]:
    """For each choice of the catalogue: which of its values a piece answers to."""
    return {
        "kind": lambda row: _values(spoken.kinds, row.kind),
        "maker": lambda row: _values(spoken.makers, row.maker),
        "configuration": lambda row: _values(spoken.configurations, row.configuration),
        "made_as": lambda row: _values(spoken.configurations, row.made_as),
        "originality": lambda row: (row.word,) if row.word else (),
        "decade": lambda row: map(str, decades(row.earliest, row.latest)),
    }


def _values(names: dict[int, Choice], key: int | None) -> Iterable[str]:
    return (names[key].value,) if key in names else ()


def decades(earliest: int | None, latest: int | None) -> range:
    """The decades, by their first years, in which a piece may have been made; with one bound, that bound's alone."""
    known = [year for year in (earliest, latest) if year is not None]
    if not known:
        return range(0)
    return range(known[0] // 10 * 10, known[-1] // 10 * 10 + 1, 10)


def _places(answers: Iterable[Iterable[str]], size: int) -> dict[str, int]:
    """Each value with the places that answer to it."""
    found: dict[str, list[int]] = defaultdict(list)
    for place, values in enumerate(answers):
        for value in values:
            found[value].append(place)
    return {value: bits_at(places, size) for value, places in found.items()}


def _choices(spoken: Names, meant: dict[str, dict[str, int]]) -> dict[str, list[Choice]]:
    """What may be chosen: only what some listed piece answers to, each value once."""
    every: dict[str, Iterable[Choice]] = {
        "kind": spoken.kinds.values(),
        "maker": spoken.makers.values(),
        "configuration": spoken.configurations.values(),
        "made_as": spoken.configurations.values(),
        "decade": (Choice(value, value) for value in sorted(meant["decade"])),
    }
    return {name: list(_once(choices, meant[name])) for name, choices in every.items()}


def _once(choices: Iterable[Choice], meant: dict[str, int]) -> Iterator[Choice]:
    seen: set[Hashable] = set()
    for choice in choices:
        if choice.value in meant and choice.value not in seen:
            seen.add(choice.value)
            yield choice
