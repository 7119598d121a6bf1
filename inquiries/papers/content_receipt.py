"""A receipt: one amount received, and the account after it."""

from collections.abc import Iterator
from datetime import datetime

from inquiries.papers.content_common import Content, Frame, addressed, day_at, framed, money, numbers_of
from inquiries.papers.writing import Version
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.queries import charged, paid
from inquiries.sales.surcharges import surcharge_with
from shop.money import Money
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop


def receipt(row: LedgerRow, new: Version, *, upto: datetime, at: datetime) -> Content:
    """What stands on it. The account is the one of `upto`, when it was first issued."""
    shop, sale = the_shop(), row.sale
    rows, instrument = list(sale.rows.filter(at__lte=upto)), sale.instrument
    frame = Frame(instrument=instrument, contact=sale.contact, shop=shop, at=at)
    more, balance = list(_said(row, shop)), money(charged(rows) - paid(rows), sale.currency)
    name = f"No. {instrument.stock_id}: {instrument.title}"
    head = framed(new.kind.label, new.number, new.version, new.replaces, sale=sale.number, matter=frame)
    return head | {
        "to": addressed("Received from", frame),
        "piece": {"label": "For", "name": name, "facts": numbers_of(frame)},
        "lines": [
            [_what(row), "\n".join(filter(None, [row.note, *more])), money(row.received, row.currency)]
        ],
        "sums": [
            ["Charged in all", money(charged(rows), sale.currency)],
            ["Received in all", money(paid(rows), sale.currency)],
            ["Balance", balance],
        ],
        "more": more,
        "received": money(row.received, row.currency),
        "balance": balance,
    }


def _what(row: LedgerRow) -> str:
    """“Deposit received, by bank transfer (ACH)”."""
    method = row.get_method_display()
    return f"{row.get_kind_display()} received{f', by {method[:1].lower()}{method[1:]}' if method else ''}"


def _said(row: LedgerRow, shop: ShopProfile) -> Iterator[str]:
    """What it says below the amount."""
    if row.received_at:
        yield f"Came in on {day_at(row.received_at, shop)}."
    if extra := surcharge_with(row):
        yield f"Of it {Money(extra.amount, row.currency)} are the surcharge on cards."
    if quoted := getattr(row, "exchange", None):
        one, rate = Money(quoted.amount, quoted.currency), f"{quoted.rate.normalize():f}"
        yield f"Paid as {one}, at {rate} {row.currency} for one {quoted.currency}."
        yield f"Rate of {quoted.quoted_on:%-d %B %Y}: {quoted.source}"
    if back := getattr(row, "reversed_by", None):
        yield f"Booked back on {day_at(back.at, shop)}."
