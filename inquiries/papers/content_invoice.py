"""An invoice: the rows of the ledger that stand, and the tax by the policy of its day."""

from decimal import Decimal

from inquiries.borders.queries import span_of
from inquiries.papers.content_common import (
    Content,
    Matter,
    Row,
    account,
    addressed,
    day_at,
    money,
    note_of,
    piece,
    price_line,
    standing,
)
from inquiries.papers.models import IssuedPaper
from inquiries.papers.tax_words import TaxSaid, said_of_tax
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import SETTLES, of_kinds, price_charged
from inquiries.tax.queries import tax_on
from shop.refusal import Refused

Kind = LedgerRow.Kind
CAME_TO_NOTHING = {Sale.Outcome.RETURNED, Sale.Outcome.FELL_THROUGH}


def invoice(matter: Matter) -> Content:
    """What stands on it. Refused where nothing is charged, or where ledger and rates do not agree.

    A later version of a sale that came to nothing takes back what an earlier one charged.
    """
    sale = matter.sold
    rows = list(sale.rows.all())
    if matter.cancels and sale.outcome in CAME_TO_NOTHING:
        return _taken_back(matter, matter.cancels, rows)
    if price_charged(rows) <= 0:
        raise Refused(
            "No price stands in the ledger of this sale any longer, so there is nothing to invoice.",
            code="no-price",
        )
    tax = _tax(sale, rows, matter)
    if tax.refused:
        raise Refused(tax.refused, code="tax")
    return {
        "to": addressed("Sold to", matter),
        "piece": piece("For", matter),
        "lines": [_line(row, matter) for row in standing(rows) if row.kind not in SETTLES],
        "sums": account(rows, sale.currency),
        "vat": tax.vat,
        "received": [_received(row, matter) for row in standing(rows) if row.kind in SETTLES],
        "notes": [*tax.notes, *_supply(sale, matter)],
    }


def _taken_back(matter: Matter, old: IssuedPaper, rows: list[LedgerRow]) -> Content:
    """Every charge with what undid it, so that they come to nought but for a fee that was kept.

    In effect a credit note: it names the invoice and undoes it. Its words are common practice, no source; that it
    names the invoice without doubt, and so is treated as one: Directive 2006/112/EC, art. 219 (from memory).
    """
    sale = matter.sold
    notes = [
        f"This sale has ended as “{sale.get_outcome_display()}”. What {old}, of {day_at(old.at, matter.shop)}, charged "
        "is taken back by this paper, and that version counts no longer."
    ]
    if old.content.get("vat"):
        notes.append("The VAT that it showed is taken back with it.")
    return {
        "to": addressed("Sold to", matter),
        "piece": piece("For", matter),
        "lines": [_line(row, matter) for row in rows if (row.reverses or row).kind not in SETTLES],
        "sums": account(rows, sale.currency),
        "vat": [],
        "received": [_received(row, matter) for row in standing(rows) if row.kind in SETTLES],
        "notes": notes,
    }


def _tax(sale: Sale, rows: list[LedgerRow], matter: Matter) -> TaxSaid:
    found = tax_on(sale, matter.shop, at=matter.at)
    if found is None:
        return TaxSaid()
    asked, _, reckoned = found
    return said_of_tax(
        asked,
        reckoned,
        made=span_of(sale.instrument.made_edtf),
        booked=of_kinds(rows, {Kind.TAX}),
        currency=sale.currency,
    )


def _line(row: LedgerRow, matter: Matter) -> Row:
    if row.kind == Kind.PRICE:
        return price_line(matter, row.amount, row.currency)
    if row.reverses:
        undone = row.reverses.get_kind_display()
        return [f"Taken back: {undone}", day_at(row.at, matter.shop), money(row.amount, row.currency)]
    booking = getattr(row, "tax_booking", None)
    told = f"{booking.percent.normalize():f} %, {booking.place}" if booking else note_of(row)
    return [row.get_kind_display(), told, money(row.amount, row.currency)]


def _received(row: LedgerRow, matter: Matter) -> Row:
    """One amount received, or given back with its sign."""
    method = row.get_method_display()
    how = ", ".join(filter(None, [row.get_kind_display(), method[:1].lower() + method[1:]]))
    if traded := getattr(row, "trade_in", None):
        how = f"{how}: {traded.description}"
    return [day_at(row.came_at, matter.shop), how, money(Decimal(0) - row.amount, row.currency)]


def _supply(sale: Sale, matter: Matter) -> list[str]:
    """The day of the supply, where it is known. Source: Directive 2006/112/EC, art. 226(7)."""
    shipment = getattr(sale, "shipment", None)
    delivery = getattr(shipment, "delivery", None)
    if delivery:
        return [f"Delivered on {day_at(delivery.at, matter.shop)}."]
    return [f"Sent on {day_at(shipment.at, matter.shop)}."] if shipment else []
