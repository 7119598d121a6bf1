"""What it cost when it was new, and how much that is in today's money."""

from dataclasses import dataclass
from typing import Any

from catalog.pricing.models import ListPrice, PriceIndex
from catalog.pricing.queries import figures_of, index_in_use
from catalog.pricing.rules import Figures, NoFigure, Speaking, figures, in_money_of, nearest
from catalog.public.shown.wording import cited, lowered
from shop.money import Money

NOT_A_VALUATION = "That is a change of money, not a valuation."


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
        sentences.append(NOT_A_VALUATION)
    return ThenAndNow([*_from_afar(speaking, instrument.made), *sentences], sums)


def _from_afar(speaking: Speaking, made: str) -> list[str]:
    """Said first when the price is of another year than the piece."""
    if speaking.within:
        return []
    return [f"No list price is known here for its date, {made}. The nearest is of {speaking.year}."]


def _told(price: ListPrice, index: PriceIndex | None, *, within: bool) -> tuple[str, list[Reckoned]]:
    cost = Money(price.amount, price.currency)
    what = f", {lowered(price.what)}" if price.what else ""
    begins = f"New in {price.year} it cost" if within else f"In {price.year} this model, new, cost"
    new = f"{begins} {cost}{what} ({cited(price.source, price.page)})"
    if index is None:
        return f"{new}. There is no price index in {price.currency} here, so the amount stands as it was.", []
    try:
        found = figures(figures_of(index), index.name, price.year)
    except NoFigure as error:
        return f"{new}. {error.message}", []
    return f"{new}; {in_money_of_now(cost, found)}, by {index.name}.", [reckoned(cost, found, index)]


def in_money_of_now(cost: Money, found: Figures) -> str:
    """A price of then in the money of now, in whole units: an index carries no cents."""
    amount = in_money_of(cost.amount, found.then, found.now, digits=0)
    # Under half a unit whole units would say “about nothing”.
    exact = in_money_of(cost.amount, found.then, found.now)
    return f"about {Money(amount or exact, cost.currency)} in the money of {found.now_year}"


def reckoned(cost: Money, found: Figures, index: PriceIndex) -> Reckoned:
    """The sum as it is done, by which index, from which source."""
    then, now = (f"{value.normalize():f}" for value in (found.then, found.now))
    return Reckoned(
        sum=f"{cost} × {now} ({found.now_year}) ÷ {then} ({found.then_year})",
        index=index.name,
        source=index.source,
    )
