"""The rates and policies as the rules read them, and what they give for a sale."""

from datetime import date, datetime
from decimal import Decimal

from catalog.models import Instrument
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import of_kinds, price_charged
from inquiries.shipping.destination import collected, country_of, parcel_of
from inquiries.tax.models import TaxPolicy, TaxRate
from inquiries.tax.rules import (
    Asked,
    Certificate,
    Place,
    Policy,
    Rate,
    Reckoned,
    Rounding,
    Scheme,
    Sourcing,
    There,
    on_the_margin,
    place_of,
    policy_on,
    purchase_of,
    reckon,
)
from shop.profile.models import ShopProfile

PURCHASE = "purchase"


def all_policies() -> list[Policy]:
    """Every policy there ever was."""
    return [policy_of(row) for row in TaxPolicy.objects.all()]


def policy_of(row: TaxPolicy) -> Policy:
    """A row as the rules read it."""
    return Policy(
        key=row.pk,
        starts=row.starts,
        scheme=Scheme(row.scheme),
        sourcing=Sourcing(row.sourcing),
        shipping_taxable=row.shipping_taxable,
        trade_in_allowed=row.trade_in_allowed,
        rounding=Rounding(row.rounding),
        inland=frozenset(row.inland.split()),
    )


def all_rates() -> list[Rate]:
    """Every rate there ever was."""
    return [
        Rate(
            key=row.pk,
            jurisdiction=row.jurisdiction,
            country=row.country,
            percent=row.percent,
            starts=row.starts,
            state=row.state,
            postal=tuple(row.postal.split()),
        )
        for row in TaxRate.objects.all()
    ]


def day_of(sale: Sale, shop: ShopProfile, *, at: datetime) -> date:
    """The day by which a sale is taxed: the one on which it ended, when the approval was over; until then `at`.

    From memory: what is sent on approval is supplied when it is kept.
    """
    return (sale.ended_at or at).astimezone(shop.zone).date()


def place_of_shop(shop: ShopProfile) -> Place | None:
    """Where the shop is."""
    return place_of(shop.address, shop.country)


def purchase_price(sale: Sale) -> Decimal | None:
    """What was paid to the seller; None where nothing is known of it, or in another currency than the sale's."""
    paid = purchase_of(purchase_rows(sale.instrument))
    return paid.amount if paid and paid.currency == sale.currency else None


def purchase_rows(instrument: Instrument) -> list[tuple[str, Decimal]]:
    """The purchase rows of a record, by currency and amount."""
    return [(cost.currency, cost.amount) for cost in instrument.costs.all() if cost.kind == PURCHASE]


def bought_with_vat(instrument: Instrument) -> bool:
    """Whether the seller charged VAT on a piece, so that it may not be sold under the margin scheme."""
    acquisition = getattr(instrument, "acquisition", None)
    return acquisition is not None and acquisition.vat_charged and acquisition.how == acquisition.How.BOUGHT


def asked_of(sale: Sale, shop: ShopProfile, policy: Policy, *, at: datetime) -> Asked:
    """A sale as the rules read it (its rows, shipment, costs and buyer)."""
    rows: list[LedgerRow] = list(sale.rows.all())
    price, buyer = price_charged(rows), sale.contact
    acquisition = getattr(sale.instrument, "acquisition", None)
    consigned = acquisition is not None and acquisition.how == acquisition.How.CONSIGNED
    vat_charged = bought_with_vat(sale.instrument)
    country_alone = on_the_margin(policy.scheme, vat_charged=vat_charged, consigned=consigned)
    destination, there = destination_of(sale, shop, country_alone=country_alone)
    return Asked(
        day=day_of(sale, shop, at=at),
        currency=sale.currency,
        price=price,
        shipping=of_kinds(rows, {LedgerRow.Kind.SHIPPING}),
        trade_in=-of_kinds(rows, {LedgerRow.Kind.TRADE_IN}),
        origin=place_of_shop(shop),
        destination=destination,
        there=there,
        handed_over=collected(sale),
        certificate=Certificate(buyer.resale_certificate, buyer.resale_state, buyer.resale_until),
        purchase=None if consigned else purchase_price(sale),
        consigned=consigned,
        vat_charged=vat_charged,
    )


def destination_of(sale: Sale, shop: ShopProfile, *, country_alone: bool) -> tuple[Place | None, There]:
    """Where a sale goes, and how that is known: by its parcel, and by the buyer's address until one has gone.

    Of the address the margin scheme asks for the country alone; a piece outside of it for the whole. A parcel stays as
    it was written down: where its address names no state, the buyer's in the same country is read instead.
    """
    parcel, buyer = parcel_of(sale), sale.contact
    country = country_of(sale) or shop.country
    if country_alone:
        return Place(country), There.SENT if parcel else There.BUYER
    if parcel is None:
        return place_of(buyer.address, country), There.BUYER
    if place := place_of(parcel.address, country):
        return place, There.SENT
    alike = country == (buyer.country or shop.country)
    return place_of(buyer.address, country) if alike else None, There.UNREAD


def tax_on(sale: Sale, shop: ShopProfile, *, at: datetime) -> tuple[Asked, Policy, Reckoned] | None:
    """What the policy of the sale's day gives; None while the shop has none on that day."""
    policy = policy_on(all_policies(), day_of(sale, shop, at=at))
    if policy is None:
        return None
    asked = asked_of(sale, shop, policy, at=at)
    return asked, policy, reckon(asked, policy, all_rates())
