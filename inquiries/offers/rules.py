"""How an offer stands at an instant, and what it comes to against each figure of ours, from values alone."""

from collections.abc import Callable, Iterator
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import Final, NamedTuple

from catalog.pricing.share_rules import Terms, in_words, reckon
from shop.money import Money, minor_units

TENTH: Final = Decimal("0.1")


class Stands(StrEnum):
    """How an offer stands; the value is the word at the desk."""

    OPEN = "Open"
    ACCEPTED = "Accepted"
    DECLINED = "Declined"
    TAKEN_BACK = "Taken back"
    REPLACED = "Replaced by another"
    LAPSED = "Lapsed"


ENDED: Final = {
    "accepted": Stands.ACCEPTED,
    "declined": Stands.DECLINED,
    "taken-back": Stands.TAKEN_BACK,
    "replaced": Stands.REPLACED,
}


def stands_at(
    until: datetime | None, how: str = "", ended_at: datetime | None = None, *, at: datetime
) -> Stands:
    """How an offer good until `until` (that instant out) stands at `at`; `how` and `ended_at` are its end, if any."""
    if ended_at is not None and ended_at <= at:
        return ENDED[how]
    return Stands.LAPSED if until is not None and until <= at else Stands.OPEN


class Given(NamedTuple):
    """What a buyer would give: money, and perhaps a trade-in at the value we would count it for."""

    cash: Decimal
    trade_in: Decimal | None = None

    @property
    def whole(self) -> Decimal:
        """Money and trade-in together."""
        return self.cash + (self.trade_in or 0)


class Figures(NamedTuple):
    """What an offer is held against. None is not known, or not for this reader."""

    asked: Decimal | None = None
    asking_now: Decimal | None = None
    floor: Decimal | None = None
    landed: Decimal | None = None
    cost_rows: int = 0
    terms: Terms | None = None
    borne: Decimal = Decimal(0)


class Margin(NamedTuple):
    """How much is given above a figure (below nought: below it), and that in per cent of the one and of the other."""

    amount: Decimal
    of_figure: Decimal | None
    of_given: Decimal | None


class Line(NamedTuple):
    """An offer against one figure: what the figure is, from what it was computed, and the margin.

    `cash` is the margin of the money alone; None where nothing else is given.
    """

    key: str
    name: str
    figure: Decimal
    says: str
    whole: Margin
    cash: Margin | None


def margin(given: Decimal, figure: Decimal) -> Margin:
    """`given` less `figure`; per cent to a tenth, half a tenth away from nought, None where there is nothing to divide.

    >>> margin(Decimal(11000), Decimal(12500))
    Margin(amount=Decimal('-1500'), of_figure=Decimal('-12.0'), of_given=Decimal('-13.6'))
    """
    amount = given - figure
    return Margin(amount, _percent(amount, figure), _percent(amount, given))


def _percent(amount: Decimal, of: Decimal) -> Decimal | None:
    return (amount * 100 / of).quantize(TENTH, ROUND_HALF_UP) if of > 0 else None


def spoken(found: Margin, currency: str, *, both: bool = False) -> str:
    """“$1,500 below, 12.0 per cent of it”; with `both`, the share of the offer as well."""
    if not found.amount:
        return "The same"
    words = f"{Money(abs(found.amount), currency)} {'above' if found.amount > 0 else 'below'}"
    shares = [f"{abs(found.of_figure)} per cent of it"] if found.of_figure is not None else []
    if both and found.of_given is not None:
        shares.append(f"{abs(found.of_given)} per cent of what is given")
    return ", ".join([words, *shares])


def compare(given: Given, figures: Figures, currency: str) -> list[Line]:
    """The offer against the asking price, the floor and what the piece costs us; what is not known has no line."""
    return [
        Line(key, name, figure, says, margin(given.whole, figure), _in_cash(given, figure))
        for key, name, figure, says in _held_against(given, figures, currency)
    ]


def _in_cash(given: Given, figure: Decimal) -> Margin | None:
    return margin(given.cash, figure) if given.trade_in else None


def _held_against(given: Given, figures: Figures, currency: str) -> Iterator[tuple[str, str, Decimal, str]]:
    asked, now = figures.asked, figures.asking_now
    if asked is not None:
        yield "asked", "Asking price", asked, "As it stood when the offer was made."
    if now is not None and now != asked:
        yield "asking-now", "Asking price now", now, "As the record has it today."
    if figures.floor is not None:
        yield "floor", "Floor", figures.floor, "The least you would take, from the record."
    if figures.landed is not None:
        yield _cost(given, figures.landed, figures, currency)


def _cost(given: Given, landed: Decimal, figures: Figures, currency: str) -> tuple[str, str, Decimal, str]:
    """Of a piece that is ours, its landed cost; of one on consignment, the consignor's share on top of it."""
    rows = f"The sum of {figures.cost_rows} cost row{'' if figures.cost_rows == 1 else 's'}"
    if figures.terms is None:
        return "cost", "Landed cost", landed, f"{rows}."
    found = reckon(given.whole, figures.terms, borne=figures.borne, digits=minor_units(currency))
    says = (
        f"Our commission on {Money(given.whole, currency)}, {in_words(figures.terms, _written(currency))}, is "
        f"{Money(found.commission, currency)}; the consignor has {Money(found.share, currency)}. "
    )
    if found.borne:
        says += f"Of the costs the consignor bears {Money(found.borne, currency)}. "
    says += f"{rows} is {Money(landed, currency)}."
    return "cost", "Consignor’s share and landed cost", found.share + landed, says


def _written(currency: str) -> Callable[[Decimal], str]:
    return lambda amount: str(Money(amount, currency))
