"""What the shop has of the price of a consigned piece, and what its consignor has, from values alone.

A rate counts for the part of the price that lies in its tier, as in a table of graduated rates, so that no step of the
price makes the share fall. Each part is rounded half up to the minor unit of the currency, once, so that the lines of a
statement add up to the commission. The least commission takes the place of a smaller one; it is never more than the
price. What the consignor bears is taken off after the commission, never below nought: what the price does not cover is
named as not covered, and nobody is charged for it here.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise
from typing import Final, NamedTuple

NOUGHT: Final = Decimal(0)
HUNDRED: Final = Decimal(100)


class Tier(NamedTuple):
    """A rate, in per cent, on what lies above an amount, up to where the next tier begins."""

    above: Decimal
    percent: Decimal


@dataclass(frozen=True)
class Terms:
    """How the commission is reckoned. `net`: on the price less what the consignor bears, instead of on the price."""

    tiers: tuple[Tier, ...]
    least: Decimal = NOUGHT
    net: bool = False


class Part(NamedTuple):
    """What of the price lies in one tier, and the commission on it. `up_to` is None for the last tier."""

    above: Decimal
    up_to: Decimal | None
    percent: Decimal
    amount: Decimal
    commission: Decimal


@dataclass(frozen=True)
class Share:
    """A price, reckoned through."""

    price: Decimal
    counted_on: Decimal
    parts: tuple[Part, ...]
    by_rate: Decimal
    commission: Decimal
    borne: Decimal
    share: Decimal
    not_covered: Decimal

    @property
    def by_least(self) -> bool:
        """Whether the least commission took the place of what the rates give."""
        return self.commission > self.by_rate


def flat(percent: Decimal) -> Terms:
    """One rate for the whole price."""
    return Terms((Tier(NOUGHT, percent),))


def reckon(price: Decimal, terms: Terms, *, digits: int, borne: Decimal = NOUGHT) -> Share:
    """Commission and share of a price in a currency of so many `digits`; the consignor bears `borne` in costs.

    >>> reckon(Decimal(1500), Terms((Tier(Decimal(0), Decimal(20)), Tier(Decimal(1000), Decimal(10)))), digits=2).share
    Decimal('1250.00')
    """
    price, borne = max(price, NOUGHT), max(borne, NOUGHT)
    counted_on = max(price - borne, NOUGHT) if terms.net else price
    parts = tuple(_parts(counted_on, terms.tiers, Decimal(1).scaleb(-digits)))
    by_rate = sum((part.commission for part in parts), NOUGHT)
    commission = min(max(by_rate, terms.least), price)
    left = price - commission
    return Share(
        price,
        counted_on,
        parts,
        by_rate,
        commission,
        borne,
        max(left - borne, NOUGHT),
        max(borne - left, NOUGHT),
    )


def _parts(amount: Decimal, tiers: Iterable[Tier], step: Decimal) -> Iterator[Part]:
    ordered: list[Tier | None] = [*sorted(tiers), None]
    for tier, following in pairwise(ordered):
        if tier is None or amount <= tier.above:
            return
        up_to = following.above if following else None
        inside = (amount if up_to is None else min(amount, up_to)) - tier.above
        on_it = (inside * tier.percent / HUNDRED).quantize(step, ROUND_HALF_UP)
        yield Part(tier.above, up_to, tier.percent, inside, on_it)


def in_words(terms: Terms, money: Callable[[Decimal], str]) -> str:
    """“20 per cent up to $1,000, 10 per cent above”; `money` writes each amount of the terms as the trade does."""
    ordered = sorted(terms.tiers)
    said = []
    for place, tier in enumerate(ordered):
        rate = f"{tier.percent.normalize():f} per cent"
        if place + 1 < len(ordered):
            said.append(f"{rate} up to {money(ordered[place + 1].above)}")
        else:
            said.append(f"{rate} above" if place else rate)
    words = ", ".join(said)
    return f"{words}, at least {money(terms.least)}" if terms.least else words
