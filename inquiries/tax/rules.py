"""Tax on a sale, from values alone, by the shop's own dated rates.

Nothing here knows a rate: every per cent and every switch is a row that the owner has added. What comes out is shown
with its rows and its reasons. It is general information, not legal advice.

Rounding, wherever a tax is rounded: once, half up to the minor unit of its currency by ISO 4217. A margin is rounded on
the item, normal tax on each line or on the whole sale, as the policy says.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum

from shop.money import Money, minor_units

HUNDRED = Decimal(100)
NOUGHT = Decimal(0)


class Scheme(StrEnum):
    """How the shop's sales are taxed."""

    NONE = "none"
    SALES_TAX = "sales-tax"
    NORMAL = "vat-normal"
    MARGIN = "vat-margin"


class Sourcing(StrEnum):
    """Whose rates count when a piece is sent."""

    DESTINATION = "destination"
    ORIGIN = "origin"


class Rounding(StrEnum):
    """What is rounded to the minor unit."""

    LINE = "line"
    INVOICE = "invoice"


def rounded(amount: Decimal, currency: str) -> Decimal:
    """To the minor unit of the currency, half of it up."""
    return Money(amount, currency).amount


def rounded_to(currency: str) -> str:
    """How an amount of this currency is rounded, in words."""
    digits = minor_units(currency)
    unit = Decimal(1).scaleb(-digits)
    return "to the cent, half a cent up" if digits == 2 else f"to {unit} {currency}, half of that up"


def tax_inside(amount: Decimal, percent: Decimal) -> Decimal:
    """The tax that is contained in an amount, not rounded: amount × r ÷ (1 + r)."""
    return amount * percent / (HUNDRED + percent)


def margin_tax(purchase: Decimal, selling: Decimal, percent: Decimal, currency: str) -> Decimal:
    """The VAT on the margin of one item, all in one currency; none at or below cost, and a loss is set against nothing.

    Source: Directive 2006/112/EC, art. 315: the taxable amount is the margin less the VAT inside it, so the VAT is
    margin × r ÷ (1 + r). No VAT at or below cost: GOV.UK, VAT margin schemes.
    """
    return rounded(tax_inside(max(selling - purchase, NOUGHT), percent), currency)


def on_the_margin(scheme: Scheme, *, vat_charged: bool, consigned: bool = False) -> bool:
    """Whether a piece is sold under the margin scheme: where that is the policy, and its seller charged no VAT on it.

    Source: Directive 2006/112/EC, art. 314, read: only what was bought from somebody who charged no VAT on it; and
    GOV.UK, VAT margin schemes, read: not for an item bought with VAT charged. A consigned piece was not bought.
    """
    return scheme == Scheme.MARGIN and (consigned or not vat_charged)


def purchase_of(rows: Iterable[tuple[str, Decimal]]) -> Money | None:
    """All that the seller charged, of the purchase rows of a record: in one currency, and above nought; else None.

    What was taken back in whole counts for nothing. Never repairs, parts, set-up or other costs. Source: GOV.UK, VAT
    margin schemes, read in a secondary page.
    """
    paid: dict[str, Decimal] = {}
    for currency, amount in rows:
        paid[currency] = paid.get(currency, NOUGHT) + amount
    standing = [(amount, currency) for currency, amount in paid.items() if amount]
    return Money(*standing[0]) if len(standing) == 1 and standing[0][0] > 0 else None


@dataclass(frozen=True)
class Place:
    """Where a piece is handed over: the country, and in the United States and Canada the state and the postal code."""

    country: str
    state: str = ""
    postal: str = ""

    def __str__(self) -> str:
        return " ".join(part for part in (self.state, self.postal, self.country) if part)


# The last line of an address in the countries whose taxes differ from state to state.
STATE_AND_CODE = {
    "US": re.compile(r"\b([A-Z]{2})[ ,]+(\d{5})(?:-\d{4})?\s*$", re.MULTILINE),
    "CA": re.compile(r"\b([A-Z]{2})[ ,]+([A-Z]\d[A-Z] ?\d[A-Z]\d)\s*$", re.MULTILINE),
}


def place_of(address: str, country: str) -> Place | None:
    """The place that an address names; None when the state, which the country needs, cannot be read."""
    country = country.upper()
    if not country:
        return None
    if country not in STATE_AND_CODE:
        return Place(country)
    found = list(STATE_AND_CODE[country].finditer(address))
    return Place(country, found[-1][1], found[-1][2].replace(" ", "")) if found else None


@dataclass(frozen=True)
class Rate:
    """The rate of a jurisdiction from a day on, until a later row of the same jurisdiction. Nought ends it.

    Without a state it is of the whole country; without postal codes, of the whole state. A postal code stands for all
    that begin with it.
    """

    key: int
    jurisdiction: str
    country: str
    percent: Decimal
    starts: date
    state: str = ""
    postal: tuple[str, ...] = ()

    def covers(self, place: Place) -> bool:
        """Whether a place lies in the jurisdiction."""
        if self.country != place.country or self.state not in ("", place.state):
            return False
        return not self.postal or place.postal.startswith(self.postal)


@dataclass(frozen=True)
class Policy:
    """How the shop's sales are taxed from a day on, until a later row."""

    key: int
    starts: date
    scheme: Scheme
    sourcing: Sourcing = Sourcing.DESTINATION
    shipping_taxable: bool = False
    trade_in_allowed: bool = False
    rounding: Rounding = Rounding.INVOICE
    inland: frozenset[str] = frozenset()  # countries besides the shop's own to which a sale is no export


def policy_on(policies: Iterable[Policy], day: date) -> Policy | None:
    """The policy of a day: the one that began last; of two of one day, the one added later."""
    begun = [policy for policy in policies if policy.starts <= day]
    return max(begun, key=lambda policy: (policy.starts, policy.key), default=None)


def rates_on(rates: Iterable[Rate], day: date) -> list[Rate]:
    """The rate of each jurisdiction on a day, by the names of the jurisdictions."""
    latest: dict[str, Rate] = {}
    for rate in sorted(
        (rate for rate in rates if rate.starts <= day), key=lambda rate: (rate.starts, rate.key)
    ):
        latest[rate.jurisdiction.casefold()] = rate
    return sorted((rate for rate in latest.values() if rate.percent), key=lambda rate: rate.jurisdiction)


def rates_at(rates: Iterable[Rate], place: Place, day: date) -> list[Rate]:
    """The rates that stack at a place on a day."""
    return [rate for rate in rates_on(rates, day) if rate.covers(place)]


def added_up(rates: Iterable[Rate]) -> Decimal:
    """Stacked rates are added."""
    return sum((rate.percent for rate in rates), NOUGHT)


@dataclass(frozen=True)
class Certificate:
    """A buyer's resale certificate."""

    number: str
    issued_by: str = ""
    until: date | None = None

    def good_on(self, day: date) -> bool:
        """Whether it stands on a day, its last day included."""
        return bool(self.number) and (self.until is None or day <= self.until)


class There(StrEnum):
    """How it is known where a piece goes."""

    BUYER = "It is taken as sent to the buyer’s address. Collected in the shop, it is taxed there."
    SENT = "It is taxed where the parcel went."
    UNREAD = "The address on the parcel names no state and postal code, so the buyer’s address counts."


@dataclass(frozen=True)
class Asked:
    """What is known of a sale. `origin` is the shop, `destination` where it goes; None where unreadable."""

    day: date
    currency: str  # of every amount here, and of the tax
    price: Decimal
    shipping: Decimal = NOUGHT
    trade_in: Decimal = NOUGHT
    origin: Place | None = None
    destination: Place | None = None
    there: There = There.BUYER
    handed_over: bool = False
    certificate: Certificate | None = None
    purchase: Decimal | None = None  # all the seller charged, and nothing else
    consigned: bool = False
    vat_charged: bool = False  # by the seller, when the shop bought it

    def on_the_margin(self, scheme: Scheme) -> bool:
        """Whether it is sold under the margin scheme, where that is how sales are taxed."""
        return on_the_margin(scheme, vat_charged=self.vat_charged, consigned=self.consigned)


@dataclass(frozen=True)
class Line:
    """One line: on what amount which tax. `tax` is None where only the whole is rounded."""

    name: str
    base: Decimal
    tax: Decimal | None = None


@dataclass(frozen=True)
class Reckoned:
    """What the policy gives: its lines, its rates, the tax, and the reasons. `tax` is None when it cannot be told."""

    scheme: Scheme
    tax: Decimal | None
    why: tuple[str, ...]
    rates: tuple[Rate, ...] = ()
    lines: tuple[Line, ...] = ()
    place: Place | None = None
    contained: bool = field(default=False)  # the tax is inside the price, not on top of it

    @property
    def percent(self) -> Decimal:
        """All rates together."""
        return added_up(self.rates)

    @property
    def not_told(self) -> str:
        """Why the tax cannot be told, where the shop can put that right: not where it is for the adviser to say."""
        why = self.why[-1]
        return why if self.tax is None and why != CONSIGNED else ""


def reckon(asked: Asked, policy: Policy, rates: Iterable[Rate]) -> Reckoned:
    """The tax on a sale by the policy of its day.

    Sales tax: from memory, to be checked each year: rates stack; a sale sent within the state is taxed where the
    policy says, one sent to another state at its destination, one handed over in the shop there; a resale certificate
    and an export are free of it; layaway is taxed when the goods pass. VAT: the price contains it. A piece that the
    shop bought with VAT charged is outside the margin scheme, and is taxed by the normal rules.
    """
    scheme, origin = policy.scheme, asked.origin
    if scheme == Scheme.NONE:
        return Reckoned(scheme, NOUGHT, ("By the shop’s policy of this day no tax is collected.",))
    if origin is None:
        return Reckoned(
            scheme,
            None,
            ("The place of the shop cannot be read. Write its address and country in the profile.",),
        )
    if scheme == Scheme.SALES_TAX and asked.certificate and asked.certificate.good_on(asked.day):
        return Reckoned(scheme, NOUGHT, (_of_certificate(asked.certificate),))
    place, why = _place(asked, origin, policy)
    if place is None:
        return Reckoned(scheme, None, why)
    if place.country not in {origin.country, *policy.inland}:
        return Reckoned(scheme, NOUGHT, (*why, EXPORT), place=place)
    reasons = (*_spent(asked, policy), *why)
    if scheme == Scheme.MARGIN and not asked.on_the_margin(scheme):
        policy, reasons = replace(policy, scheme=Scheme.NORMAL), (VAT_CHARGED, *reasons)
    if policy.scheme == Scheme.MARGIN:
        return _on_the_margin(asked, policy, tuple(rates_at(rates, origin, asked.day)), reasons)
    found = tuple(rates_at(rates, place, asked.day))
    return _on_the_price(asked, policy, found, place, reasons)


NO_PURCHASE = (
    "No purchase price stands in the record, in the currency of the sale, so the margin cannot be told. Enter under "
    "“Costs and seller” what was paid, or that it is on consignment."
)
VAT_CHARGED = (
    "The seller charged VAT on it, so the margin scheme may not be used for it: "
    "normal VAT is due on the price instead."
)
CONSIGNED = "It was on consignment and never bought: how the scheme treats it is for your adviser to say."
NOWHERE = (
    "The place cannot be read from the buyer’s address. Write the address it goes to with the buyer, the last line "
    "with state and postal code, and the country in two letters."
)
EXPORT = (
    "It leaves the country: an export is free of the tax while its proof is kept (waybill, customs paper)."
)


def _of_certificate(certificate: Certificate) -> str:
    issued = f", issued by {certificate.issued_by}" if certificate.issued_by else ""
    return (
        f"The buyer sells again: resale certificate {certificate.number}{issued}. Keep it, "
        "and see that it holds where the sale would be taxed."
    )


def _spent(asked: Asked, policy: Policy) -> tuple[str, ...]:
    certificate = asked.certificate
    if policy.scheme == Scheme.SALES_TAX and certificate and certificate.number:
        return (
            f"The resale certificate {certificate.number} was good until {certificate.until}, so it frees of nothing.",
        )
    return ()


def _place(asked: Asked, origin: Place, policy: Policy) -> tuple[Place | None, tuple[str, ...]]:
    """Where the sale is taxed, and why there."""
    if asked.handed_over:
        return origin, ("It was handed over in the shop, and is taxed there.",)
    there = asked.destination
    if there is None:
        return None, (NOWHERE,)
    alike = (there.country, there.state) == (origin.country, origin.state)
    if policy.sourcing == Sourcing.ORIGIN and alike:
        return origin, (
            *((asked.there.value,) if asked.there == There.UNREAD else ()),
            "It is sent within the state, which the policy taxes where the shop is.",
        )
    return there, (asked.there.value,)


def _no_rate(place: Place | None) -> str:
    return f"The shop has no rate for {place} on this day."


def _bases(asked: Asked, policy: Policy) -> list[tuple[str, Decimal]]:
    price, name = asked.price, "Price"
    if policy.trade_in_allowed and asked.trade_in:
        price, name = max(price - asked.trade_in, NOUGHT), "Price less trade-in"
    bases = [(name, price)]
    if policy.shipping_taxable and asked.shipping:
        bases.append(("Shipping", asked.shipping))
    return bases


def _on_the_price(
    asked: Asked, policy: Policy, rates: tuple[Rate, ...], place: Place, why: tuple[str, ...]
) -> Reckoned:
    contained = policy.scheme == Scheme.NORMAL
    if not rates:
        none = _no_rate(place)
        told = None if contained else NOUGHT
        return Reckoned(policy.scheme, told, (*why, none), place=place, contained=contained)
    percent, bases = added_up(rates), _bases(asked, policy)

    def taxed(base: Decimal) -> Decimal:
        exact = tax_inside(base, percent) if contained else base * percent / HUNDRED
        return rounded(exact, asked.currency)

    how = rounded_to(asked.currency)
    if policy.rounding == Rounding.LINE:
        lines = tuple(Line(name, base, taxed(base)) for name, base in bases)
        tax = sum((line.tax for line in lines if line.tax is not None), NOUGHT)
        why = (*why, f"Each line is rounded {how}.")
    else:
        lines = tuple(Line(name, base) for name, base in bases)
        tax = taxed(sum((base for _, base in bases), NOUGHT))
        why = (*why, f"The whole is rounded {how}.")
    return Reckoned(policy.scheme, tax, why, rates, lines, place, contained)


def selling_price(price: Decimal, shipping: Decimal, *, shipping_taxable: bool) -> Decimal:
    """What the buyer pays for an item of the margin scheme: the shipping charged is in it where the policy says so.

    Source: Directive 2006/112/EC, art. 312, from memory: incidental expenses that the dealer charges are in the price.
    """
    return price + shipping if shipping_taxable else price


def _on_the_margin(asked: Asked, policy: Policy, rates: tuple[Rate, ...], why: tuple[str, ...]) -> Reckoned:
    if not rates:
        none = CONSIGNED if asked.consigned else _no_rate(asked.origin)
        return Reckoned(policy.scheme, None, (*why, none), place=asked.origin, contained=True)
    if asked.purchase is None:
        none = CONSIGNED if asked.consigned else NO_PURCHASE
        return Reckoned(policy.scheme, None, (*why, none), rates, (), asked.origin, contained=True)
    sold = selling_price(asked.price, asked.shipping, shipping_taxable=policy.shipping_taxable)
    tax = margin_tax(asked.purchase, sold, added_up(rates), asked.currency)
    lines = (
        Line("Selling price", sold),
        Line("Purchase price", asked.purchase),
        Line("Margin", sold - asked.purchase, tax),
    )
    loss = (
        ("At or below cost no tax is due, and the loss is set against no other item.",)
        if sold <= asked.purchase
        else ()
    )
    told = f"Margin × rate ÷ (1 + rate), rounded on the item {rounded_to(asked.currency)}."
    return Reckoned(policy.scheme, tax, (*why, *loss, told), rates, lines, asked.origin, contained=True)
