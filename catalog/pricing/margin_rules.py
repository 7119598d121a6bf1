"""What a price would leave to the shop, from values alone."""

from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from typing import Final, NamedTuple

from catalog.pricing.share_rules import Terms, reckon

TENTH: Final = Decimal("0.1")


class Leaves(NamedTuple):
    """A price, what of it the consignor has, what was spent, what is left, and that in per cent of the price."""

    name: str
    price: Decimal
    share: Decimal
    landed: Decimal
    margin: Decimal
    percent: Decimal | None
    says: str


def leaves(
    name: str,
    price: Decimal,
    landed: Decimal,
    money: Callable[[Decimal], str],
    *,
    digits: int,
    terms: Terms | None = None,
    borne: Decimal = Decimal(0),
) -> Leaves:
    """What `price` leaves after all that was spent; of a consigned piece (with `terms`) after the consignor’s share.

    `borne` is what of `landed` the consignor bears. Per cent to a tenth, half a tenth away from nought.
    """
    if terms is None:
        share, says = Decimal(0), f"{money(price)} less the landed cost of {money(landed)}."
    else:
        found = reckon(price, terms, borne=borne, digits=digits)
        share, own = found.share, landed - found.borne
        says = f"Our commission of {money(found.commission)}, less our own costs of {money(own)}."
        if found.borne:
            says += f" The consignor bears {money(found.borne)}."
        if found.not_covered:
            says += f" The price does not cover {money(found.not_covered)} of that."
    margin = price - share - landed
    percent = (margin * 100 / price).quantize(TENTH, ROUND_HALF_UP) if price > 0 else None
    return Leaves(name, price, share, landed, margin, percent, says)
