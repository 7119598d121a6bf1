"""The pieces of the stock book, with the rows that its figures come from."""

from django.db.models import Prefetch, QuerySet

from catalog.models import Acquisition, Cost, Instrument
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import of_kinds, price_charged
from inquiries.shipping.destination import collected, country_of
from inquiries.stockbook.rules import Item, Line, Sold, line_of
from inquiries.tax.queries import all_policies, all_rates, bought_with_vat, purchase_rows
from inquiries.tax.rules import purchase_of
from shop.profile.models import ShopProfile

CONSIGNED = Acquisition.How.CONSIGNED


def pieces() -> QuerySet[Instrument]:
    """Every piece, by stock number, with its seller, its costs and its closed sale, in a fixed number of queries."""
    closed = (
        Sale.objects.filter(outcome=Sale.Outcome.CLOSED)
        .select_related("contact", "shipment")
        .prefetch_related("rows__reverses")
    )
    return (
        Instrument.objects.select_related(
            "kind", "maker", "model__maker", "acquisition", "taken_in_trade__row__reversed_by"
        )
        .prefetch_related("costs", Prefetch("sales", queryset=closed, to_attr="closed_sales"))
        .order_by("stock_id")
    )


def item_of(piece: Instrument, shop: ShopProfile) -> Item:
    """A piece as the book reads it (from `pieces`)."""
    acquisition = getattr(piece, "acquisition", None)
    purchases = [cost for cost in piece.costs.all() if cost.kind == Cost.Kind.PURCHASE]
    sales: list[Sale] = piece.closed_sales  # type: ignore[attr-defined]
    return Item(
        stock=piece.stock_id,
        bought_on=acquisition.on if acquisition else None,
        invoice=acquisition.invoice_number if acquisition else "",
        note=", ".join(cost.note for cost in purchases if cost.note),
        vat_charged=bought_with_vat(piece),
        seller=acquisition.seller if acquisition else "",
        description=piece.title,
        paid=tuple(purchase_rows(piece)),
        disposed=_disposed(piece),
        sold=_sold(sales[0], shop) if sales else None,
    )


def _disposed(piece: Instrument) -> str:
    """How a piece that was not sold left the stock: taken off the shelf, or given back to whom it came from in trade.

    What was bought anew after that is in stock again.
    """
    trade = getattr(piece, "taken_in_trade", None)
    if trade is not None and trade.given_back and purchase_of(purchase_rows(piece)) is None:
        return f"{Instrument.State.WITHDRAWN.label}, given back"
    return piece.get_state_display() if piece.state == Instrument.State.WITHDRAWN else ""


def _sold(sale: Sale, shop: ShopProfile) -> Sold:
    rows = list(sale.rows.all())
    price = price_charged(rows)
    assert sale.ended_at is not None, "a closed sale has ended"  # noqa: S101 - by constraint
    return Sold(
        on=sale.ended_at.astimezone(shop.zone).date(),
        number=sale.number,
        buyer=sale.contact.name,
        currency=sale.currency,
        price=price,
        shipping=of_kinds(rows, {LedgerRow.Kind.SHIPPING}),
        country=country_of(sale),
        handed_over=collected(sale),
    )


def book(shop: ShopProfile) -> tuple[list[Line], list[Line], list[Item]]:
    """The lines of what the shop bought, those of what it had on consignment, and what names no seller yet."""
    policies, rates = all_policies(), all_rates()
    bought: list[Line] = []
    consigned: list[Line] = []
    unnamed: list[Item] = []
    for piece in pieces():
        item = item_of(piece, shop)
        acquisition = getattr(piece, "acquisition", None)
        if acquisition is None:
            unnamed.append(item)
            continue
        line = line_of(item, policies, rates, shop_address=shop.address, shop_country=shop.country)
        (consigned if acquisition.how == CONSIGNED else bought).append(line)
    return bought, consigned, unnamed
