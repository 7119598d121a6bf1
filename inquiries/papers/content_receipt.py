"""A receipt: one amount received, and the account after it."""

from collections.abc import Iterator
from datetime import datetime

from inquiries.papers.content_common import Content, day_at, money, sheet_of
from inquiries.sales.models import LedgerRow
from inquiries.sales.queries import charged, paid
from inquiries.sales.surcharges import surcharge_with
from shop.money import Money
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop


def receipt(row: LedgerRow, *, upto: datetime, at: datetime) -> Content:
    """What stands on it, but for number and version. The account is the one of `upto`, when it was first issued."""
    shop, sale, day = the_shop(), row.sale, at.astimezone(the_shop().zone)
    rows, instrument = list(sale.rows.filter(at__lte=upto)), sale.instrument
    return {
        "sheet": sheet_of(shop.country),
        "issued": day_at(at, shop),
        "day": [day.year, day.month, day.day],
        "shop": {
            "name": shop.name,
            "address": shop.address,
            "telephone": shop.telephone,
            "email": shop.email,
        },
        "buyer": {"name": sale.contact.name, "address": sale.contact.address},
        "sale": sale.number,
        "instrument": f"No. {instrument.stock_id}: {instrument.title}",
        "numbers": [str(found) for found in instrument.numbers.all()],
        "what": row.get_kind_display(),
        "method": row.get_method_display(),
        "note": row.note,
        "more": list(_said(row, shop)),
        "received": money(row.received, row.currency),
        "charged": money(charged(rows), sale.currency),
        "paid": money(paid(rows), sale.currency),
        "balance": money(charged(rows) - paid(rows), sale.currency),
    }


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
