"""The shelf narrowed by what a visitor chose: the pieces in order, and what each further choice would find."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from functools import cached_property
from itertools import islice, pairwise
from typing import Any, NamedTuple

from django.utils import timezone

from catalog.instruments.availability import Availability, taken_at
from catalog.originality.rules import WORDS
from catalog.search.bits import at_least, bits_at, places_in
from catalog.search.queries import Found, search
from catalog.search.shelf import PER_UNIT, Choice, Shelf
from shop.wording import gettext as _
from shop.wording import shipped

# What a visitor chose, by the names of CatalogueFilter's fields; an empty value chooses nothing.
Narrowing = Mapping[str, Any]

# The choices that cut the shelf; a price band is one, and so is a text.
CUTS = (
    "q", "kind", "maker", "configuration", "made_as", "originality", "decade", "price", "availability", "new",
)  # fmt: skip
FIELDS_OF = {"price": ("price_from", "price_to")}
BANDS = (1000, 2500, 5000, 10000, 25000)


class Counted(NamedTuple):
    """A choice, and how many pieces it would find with all other choices kept."""

    choice: Choice
    many: int


class Band(NamedTuple):
    """A band of prices, in whole units; None is open."""

    lowest: int | None
    highest: int | None
    many: int


class Narrowed:
    """The shelf as one visitor narrowed it; the price band is in `currency`."""

    def __init__(self, shelf: Shelf, chosen: Narrowing, *, currency: str, at: datetime) -> None:
        self.shelf, self.chosen, self.currency, self.at = shelf, chosen, currency, at

    @cached_property
    def text(self) -> Found:
        """What the search found, before anything else is chosen."""
        return search(str(self.chosen.get("q") or ""))

    @cached_property
    def bits(self) -> int:
        """The places that answer to every choice."""
        return self.without("")

    @property
    def many(self) -> int:
        """How many pieces answer."""
        return self.bits.bit_count()

    def without(self, cut: str) -> int:
        """The places that answer to every choice but one."""
        left = self.shelf.every
        for name, bits in self._cuts.items():
            if name != cut:
                left &= bits
        return left

    def stocks(self, start: int, end: int) -> list[int]:
        """The stock numbers from one place of the order to another."""
        places = islice(self._in_order(), start, end)
        return [self.shelf.stocks[place] for place in places]

    def counts(self, name: str) -> list[Counted]:
        """Each value of a choice, with how many pieces it would find."""
        among, meant = self.without(name), self._meant(name)
        return [
            Counted(choice, (among & meant.get(choice.value, 0)).bit_count())
            for choice in choices_of(self.shelf, name)
        ]

    def bands(self) -> list[Band]:
        """The bands of prices in which something would be found."""
        edges, among = (None, *BANDS, None), self.without("price")
        counted = (
            Band(low, high, (among & self._priced(low, high and high - Decimal("0.01"))).bit_count())
            for low, high in pairwise(edges)
        )
        return [band for band in counted if band.many]

    @cached_property
    def _cuts(self) -> dict[str, int]:
        """The places that answer to each choice that was made."""
        return {name: self._cut(name) for name in CUTS if self._is_chosen(name)}

    def _is_chosen(self, name: str) -> bool:
        return any(self.chosen.get(one) not in (None, "") for one in FIELDS_OF.get(name, (name,)))

    def _cut(self, name: str) -> int:
        if name == "q":
            return bits_at(self._found_places(), len(self.shelf.stocks))
        if name == "price":
            return self._priced(self.chosen.get("price_from"), self.chosen.get("price_to"))
        return self._meant(name).get(str(self.chosen[name]), 0)

    def _found_places(self) -> list[int]:
        """The places of what was found, best first; what was shelved since the shelf was read has none yet."""
        places = self.shelf.place_of_stock
        return [places[stock] for stock in self.text.stocks if stock in places]

    def _priced(self, lowest: Decimal | int | None, highest: Decimal | int | None) -> int:
        """A band leaves out pieces priced on request, or in another currency: they cannot be compared."""
        slices, among = self.shelf.prices.get(self.currency, []), self.shelf.priced.get(self.currency, 0)
        left = among if lowest is None else at_least(slices, int(lowest * PER_UNIT), among)
        return left if highest is None else left & ~at_least(slices, int(highest * PER_UNIT) + 1, among)

    def _meant(self, name: str) -> dict[str, int]:
        if name == "availability":
            return {"on-hold": self._taken, "available": self.shelf.every & ~self._taken}
        if name == "new":
            return {"month": self._new}
        return self.shelf.meant[name]

    @cached_property
    def _taken(self) -> int:
        places = self.shelf.place_of_instrument
        return bits_at((places[key] for key in taken_at(self.at) if key in places), len(self.shelf.stocks))

    @cached_property
    def _new(self) -> int:
        """Listed since the month began, by the shop's clock: the first places, since the newest stand first."""
        here = timezone.localtime(self.at)
        begun = here.replace(day=1, hour=0, minute=0, second=0, microsecond=0)
        listed = self.shelf.listed_at
        return (1 << sum(1 for _instant in _while_since(listed, begun))) - 1

    def _in_order(self) -> Iterator[int]:
        """The places that answer, in the chosen order."""
        order = self.chosen.get("sort") or ("best" if self._is_chosen("q") else "newest")
        if order == "newest" or (order == "best" and not self._is_chosen("q")):
            return places_in(self.bits)
        by_price = {"price-rising": self.shelf.rising, "price-falling": self.shelf.falling}
        every = by_price[order] if order in by_price else self._found_places()
        held = self.bits.to_bytes(len(self.shelf.stocks) // 8 + 1, "little")
        return (place for place in every if held[place >> 3] >> (place & 7) & 1)


def _while_since(listed: list[datetime], begun: datetime) -> Iterator[datetime]:
    for instant in listed:
        if instant < begun:
            return
        yield instant


def choices_of(shelf: Shelf, name: str) -> list[Choice]:
    """What may be chosen, in its order, as it is spoken in the reader's language; the shelf is for all languages."""
    match name:
        case "availability":
            free, held = Availability.AVAILABLE.word, Availability.ON_HOLD.word
            return [Choice("available", free), Choice("on-hold", held)]
        case "new":
            return [Choice("month", _("New this month"))]
        case "originality":
            return [Choice(word.value, str(says)) for word, says in WORDS.items()]
        case "decade":
            said = _("%(decade)ss")
            return [Choice(one.value, said % {"decade": one.value}) for one in shelf.choices[name]]
        case "maker":
            return shelf.choices[name]
    return [Choice(one.value, shipped(one.says), shipped(one.group)) for one in shelf.choices[name]]
