"""Makers and models, as plain values: the sourced facts, and the pieces that are or were here."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.urls import reverse

from catalog.dating.models import Feature, NumberRange
from catalog.dating.saying import as_said
from catalog.instruments.models import FoundNumber, Maker, Model
from catalog.pricing.models import ListPrice, PriceIndex
from catalog.pricing.queries import figures_of
from catalog.pricing.rules import NoFigure, figures
from catalog.public.maker_queries import Counts
from catalog.public.shown.cards import Card
from catalog.public.shown.then_and_now import NOT_A_VALUATION, Reckoned, in_money_of_now, no_index, reckoned
from catalog.public.shown.wording import cited, page_in_words
from shop.money import Money
from shop.wording import gettext as _
from shop.wording import gettext_lazy, shipped

FEW = 12  # lines of a table that stand open on the page
NONE = Counts(0, 0)
NUMBERS = {
    FoundNumber.What.SERIAL: gettext_lazy("Serial numbers"),
    FoundNumber.What.BATCH: gettext_lazy("Batch numbers"),
    FoundNumber.What.PATENT: gettext_lazy("Patent numbers"),
    FoundNumber.What.OTHER: gettext_lazy("Other numbers"),
}


@dataclass(frozen=True)
class NameLine:
    """A maker or a model among others; `under` says a word on it, `models` counts a maker's."""

    name: str
    address: str
    under: str
    listed: int
    sold: int
    models: int = 0


@dataclass(frozen=True)
class NumberLine:
    """One line of a table of numbers."""

    numbers: str
    when: str
    page: str


@dataclass(frozen=True)
class Numbers:
    """One source's table of a maker's numbers; `many` lines, of which the first are here."""

    what: str
    source: str
    span: str
    many: int
    lines: list[NumberLine]

    @property
    def folded(self) -> bool:
        """Whether the lines are too many to stand open."""
        return len(self.lines) > FEW


@dataclass(frozen=True)
class DatedFeature:
    """A feature with its years of use; `model` is empty where it is every model's."""

    when: str
    what: str
    model: str
    source: str


@dataclass(frozen=True)
class UsualThing:
    """What is usual in one thing: pairs of value and source."""

    what: str
    values: list[tuple[str, str]]


@dataclass(frozen=True)
class PriceThen:
    """What a model cost new in one year, by a price list, and what that is in today's money or why it is not told."""

    year: int
    price: str
    what: str
    source: str
    now: str


@dataclass(frozen=True)
class Prices:
    """What a model cost new, and what the figures in today's money rest on."""

    rows: list[PriceThen] = field(default_factory=list)
    reckoned: list[Reckoned] = field(default_factory=list)
    note: str = ""


@dataclass(frozen=True)
class Pieces:
    """Some of the pieces that are here, or were; `all_for_sale` and `all_sold` lead to the whole of them."""

    for_sale: list[Card]
    sold: list[Card]
    counts: Counts
    all_for_sale: str = ""
    all_sold: str = ""

    @property
    def lead(self) -> Card | None:
        """One that has a picture; what is for sale goes first."""
        return next((card for card in [*self.for_sale, *self.sold] if card.picture), None)


@dataclass(frozen=True)
class MakerPage:
    """A maker's page."""

    name: str
    under: str
    note: str
    models: list[NameLine]
    numbers: list[Numbers]
    features: list[DatedFeature]
    pieces: Pieces


@dataclass(frozen=True)
class ModelPage:
    """A model's page."""

    name: str
    maker: str
    maker_address: str
    under: str
    usual: list[UsualThing]
    prices: Prices
    features: list[DatedFeature]
    pieces: Pieces


def maker_line(
    maker: Maker, slugs: Mapping[int, str], counts: Mapping[int | None, Counts], models: int
) -> NameLine:
    """A maker in the list of all."""
    seen = counts.get(maker.pk, NONE)
    address = reverse("maker-page", args=[slugs[maker.pk]])
    return NameLine(maker.name, address, of_maker(maker), seen.listed, seen.sold, models)


def model_line(
    model: Model, maker_slug: str, slugs: Mapping[int, str], counts: Mapping[int | None, Counts]
) -> NameLine:
    """A model in the list of its maker's."""
    seen = counts.get(model.pk, NONE)
    address = reverse("model-page", args=[maker_slug, slugs[model.pk]])
    return NameLine(model.name, address, "", seen.listed, seen.sold)


def of_maker(maker: Maker) -> str:
    """Town and years of work."""
    return ", ".join(filter(None, [maker.town, maker.years]))


def numbers(table: Any) -> Numbers:
    """A table that came through catalog.public.maker_queries.tables_shown."""
    return Numbers(
        what=str(NUMBERS[FoundNumber.What(table.what)]),
        source=table.source,
        span=_from_to(table.earliest, table.latest) if table.earliest and table.latest else "",
        many=table.many,
        lines=[
            NumberLine(_of_line(line), as_said(line.when, line.when_edtf), page_in_words(line.page))
            for line in table.first_lines
        ],
    )


def _of_line(line: NumberRange) -> str:
    first, last = f"{line.prefix}{line.first}", f"{line.prefix}{line.last}"
    return first if first == last else _from_to(first, last)


def _from_to(first: str | int, last: str | int) -> str:
    return _("%(first)s to %(last)s") % {"first": first, "last": last}


def dated_features(rows: Iterable[Feature]) -> list[DatedFeature]:
    """Features with their years of use, in the order of the rows."""
    return [
        DatedFeature(
            as_said(row.when, row.when_edtf),
            row.name,
            row.model.name if row.model else "",
            cited(row.source, row.page),
        )
        for row in rows
    ]


def usual_things(model: Model) -> list[UsualThing]:
    """What is usual on a model; the values of one thing stand together."""
    found: dict[str, list[tuple[str, str]]] = {}
    for row in model.usual.all():
        value = f"{row.value} ({as_said(row.when, row.when_edtf)})" if row.when else row.value
        found.setdefault(row.what, []).append((value, cited(row.source, row.page)))
    return [UsualThing(shipped(what), values) for what, values in found.items()]


def prices(model: Model, indexes: Mapping[str, PriceIndex]) -> Prices:
    """What a model cost new, by year; `indexes` by currency."""
    told = [_price(row, indexes.get(row.currency)) for row in model.list_prices.all()]
    sums = [under for _row, under in told if under]
    return Prices([row for row, _under in told], sums, str(NOT_A_VALUATION) if sums else "")


def _price(row: ListPrice, index: PriceIndex | None) -> tuple[PriceThen, Reckoned | None]:
    cost = Money(row.amount, row.currency)
    now, under = _now(row.year, cost, index)
    return PriceThen(row.year, str(cost), row.what, cited(row.source, row.page), now), under


def _now(year: int, cost: Money, index: PriceIndex | None) -> tuple[str, Reckoned | None]:
    if index is None:
        return no_index(cost.currency), None
    try:
        found = figures(figures_of(index), index.name, year)
    except NoFigure as error:
        return error.message, None
    said = _("About %(amount)s in the money of %(now_year)s, by %(index)s.")
    now = {"amount": in_money_of_now(cost, found), "now_year": found.now_year, "index": index.name}
    return said % now, reckoned(cost, found, index)
