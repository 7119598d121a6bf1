"""What it cost when it was new, and how much that is in today's money."""

from dataclasses import dataclass
from typing import Any

from catalog.pricing.models import ListPrice, PriceIndex
from catalog.pricing.queries import figures_of, index_in_use
from catalog.pricing.rules import Figures, NoFigure, Speaking, figures, in_money_of, nearest
from catalog.public.shown.wording import cited
from shop.money import Money, minor_units
from shop.wording import gettext as _
from shop.wording import gettext_lazy, inside, number

NOT_A_VALUATION = gettext_lazy("That is a change of money, not a valuation.")


@dataclass(frozen=True)
class Reckoned:
    """The figures under one sentence: the sum as it is done, by which index, from which source."""

    sum: str
    index: str
    source: str


@dataclass(frozen=True)
class ThenAndNow:
    """What is said of the price when new: sentences for people, and what each figure rests on."""

    sentences: list[str]
    reckoned: list[Reckoned]


def then_and_now(instrument: Any) -> ThenAndNow | None:
    """The list price that speaks for an instrument that came through catalog.public.queries.pages; None without."""
    known = list(instrument.model.list_prices.all()) if instrument.model else []
    speaking = nearest((price.year for price in known), instrument.made_earliest, instrument.made_latest)
    if speaking is None:
        return None
    prices = [price for price in known if price.year == speaking.year]
    indexes = {currency: index_in_use(currency) for currency in {price.currency for price in prices}}
    sentences, sums = [], []
    for price in prices:
        sentence, under = _told(price, indexes[price.currency], within=speaking.within)
        sentences.append(sentence)
        sums += under
    if sums:
        sentences.append(str(NOT_A_VALUATION))
    return ThenAndNow([*_from_afar(speaking, instrument.made_said), *sentences], sums)


def _from_afar(speaking: Speaking, made: str) -> list[str]:
    """Said first when the price is of another year than the piece."""
    if speaking.within:
        return []
    said = _("No list price is known here for its date, %(made)s. The nearest is of %(year)s.")
    return [said % {"made": made, "year": speaking.year}]


def _told(price: ListPrice, index: PriceIndex | None, *, within: bool) -> tuple[str, list[Reckoned]]:
    cost = Money(price.amount, price.currency)
    known = {
        "year": price.year,
        "price": f"{cost}, {inside(price.what)}" if price.what else str(cost),
        "source": cited(price.source, price.page),
    }
    if index is None:
        return f"{_then(known, within=within)} {no_index(price.currency)}", []
    try:
        found = figures(figures_of(index), index.name, price.year)
    except NoFigure as error:
        return f"{_then(known, within=within)} {error.message}", []
    now = {"amount": in_money_of_now(cost, found), "now_year": found.now_year, "index": index.name}
    return _then_and_now({**known, **now}, within=within), [reckoned(cost, found, index)]


def _then(known: dict[str, Any], *, within: bool) -> str:
    """The price of then, as a sentence."""
    if within:
        return _("New in %(year)s it cost %(price)s (%(source)s).") % known
    return _("In %(year)s this model, new, cost %(price)s (%(source)s).") % known


def _then_and_now(known: dict[str, Any], *, within: bool) -> str:
    """Both in one sentence."""
    if within:
        said = _(
            "New in %(year)s it cost %(price)s (%(source)s); about %(amount)s in the money of %(now_year)s, "
            "by %(index)s."
        )
    else:
        said = _(
            "In %(year)s this model, new, cost %(price)s (%(source)s); about %(amount)s in the money of "
            "%(now_year)s, by %(index)s."
        )
    return said % known


def no_index(currency: str) -> str:
    """Why a price is not told in the money of now: nobody has loaded figures for it."""
    said = _("There is no price index in %(currency)s here, so the amount stands as it was.")
    return said % {"currency": currency}


def in_money_of_now(cost: Money, found: Figures) -> Money:
    """A price of then in the money of now, in whole units: an index carries no cents."""
    amount = in_money_of(cost.amount, found.then, found.now, digits=0)
    # Under half a unit whole units would say “about nothing”.
    exact = in_money_of(cost.amount, found.then, found.now, digits=minor_units(cost.currency))
    return Money(amount or exact, cost.currency)


def reckoned(cost: Money, found: Figures, index: PriceIndex) -> Reckoned:
    """The sum as it is done, by which index, from which source."""
    then, now = number(found.then), number(found.now)
    return Reckoned(
        sum=f"{cost} × {now} ({found.now_year}) ÷ {then} ({found.then_year})",
        index=index.name,
        source=index.source,
    )
