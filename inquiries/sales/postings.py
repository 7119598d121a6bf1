"""The double entry behind the ledger: written by the deeds, in their transaction, and never by hand."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal
from typing import Any

from inquiries.sales import posting_rules as rules
from inquiries.sales.ledger_models import Clearing, LedgerRow, Payout, Posting
from inquiries.sales.models import Sale
from inquiries.sales.posting_rules import Entry, in_minor


def post_row(row: LedgerRow) -> None:
    """The entries of a row that was just added; a reversal undoes those of its row, with what the bank had booked."""
    _write(entries_of_row(row), sale=row.sale, row=row, at=row.at)


def entries_of_row(row: LedgerRow) -> list[Entry]:
    """By the rule."""
    if row.reverses is None:
        return rules.of_row(row.kind, row.method, in_minor(row.amount, row.currency))
    undone = entries_of_row(row.reverses)
    # What the bank had made final goes out of the bank again; after the reversal nothing is cleared any more.
    if cleared := Clearing.objects.filter(row=row.reverses).first():
        undone += entries_of_clearing(cleared)
    return rules.opposite(undone)


def post_clearing(clearing: Clearing) -> None:
    """The entries of money that the bank has made final."""
    _write(entries_of_clearing(clearing), sale=clearing.row.sale, clearing=clearing, at=clearing.at)


def entries_of_clearing(clearing: Clearing) -> list[Entry]:
    """By the rule."""
    row = clearing.row
    booked = None if clearing.amount is None else in_minor(clearing.amount, row.currency)
    return rules.of_clearing(row.method, in_minor(row.received, row.currency), booked)


def post_closing(sale: Sale, *, share: Decimal, tax_inside: Decimal = Decimal(0), at: datetime) -> None:
    """The entries of a sale that closes: the consignor's share, and the tax that lies inside the price."""
    currency = sale.currency
    _write(rules.of_closing(in_minor(share, currency), in_minor(tax_inside, currency)), sale=sale, at=at)


def post_payout(payout: Payout) -> None:
    """The entries of a consignor who was paid."""
    sale, paid = payout.sale, in_minor(payout.amount, payout.currency)
    entries = rules.of_payout(payout.method, paid, owed_to_consignor(sale))
    _write(entries, sale=sale, payout=payout, at=payout.at)


def owed_to_consignor(sale: Sale) -> int:
    """What the postings of `sale` say is owed to the consignor, in minor units."""
    found = rules.accounts(_entries(Posting.objects.filter(sale=sale)))
    return -found[rules.CONSIGNOR].balance if rules.CONSIGNOR in found else 0


def _entries(postings: Iterable[Posting]) -> list[Entry]:
    return [Entry(posting.debit, posting.credit, posting.minor) for posting in postings]


def _write(entries: Iterable[Entry], *, sale: Sale, at: datetime, **cause: Any) -> None:
    Posting.objects.bulk_create(
        Posting(sale=sale, currency=sale.currency, at=at, **entry._asdict(), **cause) for entry in entries
    )
