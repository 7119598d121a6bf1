"""The stock book, line by line, from values alone.

Source of the columns: GOV.UK, VAT margin schemes, keeping records, read. What an item cost is all that its seller
charged, never repairs or overheads: GOV.UK, read in a secondary page. A loss is set against nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from inquiries.tax.rules import (
    Policy,
    Rate,
    Scheme,
    added_up,
    margin_tax,
    on_the_margin,
    place_of,
    policy_on,
    purchase_of,
    rates_at,
    selling_price,
)


class Why(StrEnum):
    """Why a line has no margin or no VAT."""

    UNSOLD = ""
    NO_PURCHASE = "No purchase price stands in the record."
    CURRENCIES = "It was bought in another currency than it was sold in."
    NO_POLICY = "The shop had no tax policy on the day of the sale."
    NO_SCHEME = "The margin scheme was not the shop’s policy on the day of the sale."
    VAT_CHARGED = (
        "The seller charged VAT on it, so it is not in the margin scheme: normal VAT is due on its price."
    )
    NO_RATE = "The shop had no rate for its own place on the day of the sale."
    EXPORT = "It left the country: an export is free of the tax while its proof is kept."
    PLACE = "The place cannot be read from the address of the shop."


@dataclass(frozen=True)
class Sold:
    """The closed sale of an item."""

    on: date
    number: str
    buyer: str
    currency: str
    price: Decimal
    shipping: Decimal
    country: str = ""
    handed_over: bool = False


@dataclass(frozen=True)
class Item:
    """One piece that the shop bought. `paid` are the purchase rows of the record, by currency and amount.

    `invoice` is the number of the seller's invoice, `note` what the purchase rows say besides.
    """

    stock: int
    bought_on: date | None
    invoice: str
    seller: str
    description: str
    paid: tuple[tuple[str, Decimal], ...] = ()
    disposed: str = ""
    sold: Sold | None = None
    note: str = ""
    vat_charged: bool = False


@dataclass(frozen=True)
class Line:
    """One line of the book."""

    item: Item
    purchase: Decimal | None
    currency: str
    selling: Decimal | None = None
    margin: Decimal | None = None
    percent: Decimal | None = None
    vat: Decimal | None = None
    why: Why = Why.UNSOLD

    @property
    def sold_in(self) -> str:
        """The currency of the selling price."""
        return self.item.sold.currency if self.item.sold else self.currency

    @property
    def shown_percent(self) -> str:
        """The rate without idle noughts."""
        return "" if self.percent is None else f"{self.percent.normalize():f}"


@dataclass(frozen=True)
class InStock:
    """What is here and is the shop’s: how many pieces, what was paid for them, and of how many that is not known."""

    pieces: int
    paid: tuple[tuple[str, Decimal], ...]
    unknown: int


def in_stock(lines: Iterable[Line]) -> InStock:
    """The lines of the shop's own pieces that are neither sold nor disposed of, summed up by currency."""
    here = [line for line in lines if line.item.sold is None and not line.item.disposed]
    paid: dict[str, Decimal] = {}
    for line in here:
        if line.purchase is not None:
            paid[line.currency] = paid.get(line.currency, Decimal(0)) + line.purchase
    return InStock(len(here), tuple(sorted(paid.items())), sum(line.purchase is None for line in here))


def line_of(
    item: Item, policies: list[Policy], rates: list[Rate], *, shop_address: str, shop_country: str
) -> Line:
    """The line of an item, by the policy and the rate of the day on which it was sold.

    The VAT on a margin is rounded on the item: half a minor unit goes up (inquiries/tax/rules.margin_tax).
    """
    purchase, bought_in = _purchase(item)
    if item.sold is None:
        why = Why.UNSOLD if purchase is not None else Why.NO_PURCHASE
        return Line(item, purchase, bought_in, why=why)
    sold = item.sold
    policy = policy_on(policies, sold.on)
    taxed = policy is not None and policy.shipping_taxable
    selling = selling_price(sold.price, sold.shipping, shipping_taxable=taxed)
    if purchase is None or bought_in != sold.currency:
        why = Why.NO_PURCHASE if purchase is None else Why.CURRENCIES
        return Line(item, purchase, bought_in or sold.currency, selling, why=why)
    margin = selling - purchase
    percent, why = _rate(item, sold, policy, rates, shop_address, shop_country)
    vat = None if percent is None else margin_tax(purchase, selling, percent, sold.currency)
    return Line(item, purchase, bought_in, selling, margin, percent, vat, why)


def _purchase(item: Item) -> tuple[Decimal | None, str]:
    """What was paid to the seller; None without a purchase above nought in one currency."""
    paid = purchase_of(item.paid)
    return (paid.amount, paid.currency) if paid else (None, "")


def _rate(
    item: Item, sold: Sold, policy: Policy | None, rates: list[Rate], address: str, country: str
) -> tuple[Decimal | None, Why]:
    """The rate on the margin; None, with the reason, where the scheme does not say one."""
    if policy is None:
        return None, Why.NO_POLICY
    if policy.scheme != Scheme.MARGIN:
        return None, Why.NO_SCHEME
    if not on_the_margin(policy.scheme, vat_charged=item.vat_charged):
        return None, Why.VAT_CHARGED
    here = place_of(address, country)
    if here is None:
        return None, Why.PLACE
    if not sold.handed_over and (sold.country or country) not in {here.country, *policy.inland}:
        return Decimal(0), Why.EXPORT
    percent = added_up(rates_at(rates, here, sold.on))
    return (percent, Why.UNSOLD) if percent else (None, Why.NO_RATE)
