"""Issue receipts. All other papers: issuing.py."""

from collections.abc import Sequence
from datetime import datetime

from inquiries.papers.content_common import sheet_of
from inquiries.papers.filing import make_receipt_file
from inquiries.papers.models import Receipt
from inquiries.sales.models import LedgerRow
from inquiries.sales.queries import charged, paid
from shop.money import Money
from shop.numbers.actions import next_number
from shop.profile.queries import the_shop
from shop.staff.models import User


def issue_receipt(row: LedgerRow, *, by: User | None, at: datetime, more: Sequence[str] = ()) -> Receipt:
    """Issue the receipt of an amount received, under the next number of its year, in the deed's transaction.

    `more` is printed below the amount, line by line.
    """
    year = at.astimezone(the_shop().zone).year
    number = f"R{year}-{next_number(f'receipt {year}'):04}"
    content = _content(number, row, at=at) | {"more": list(more)}
    receipt = Receipt.objects.create(number=number, sale=row.sale, row=row, content=content, by=by, at=at)
    make_receipt_file.enqueue(at=at, key=f"receipt {receipt.pk}", receipt=receipt.pk)
    return receipt


def _content(number: str, row: LedgerRow, *, at: datetime) -> dict[str, object]:
    shop, sale, rows = the_shop(), row.sale, list(row.sale.rows.order_by("at", "pk"))
    instrument = sale.instrument
    return {
        "number": number,
        "sheet": sheet_of(shop.country),
        "issued": at.astimezone(shop.zone).strftime("%-d %B %Y"),
        "day": [at.astimezone(shop.zone).year, at.astimezone(shop.zone).month, at.astimezone(shop.zone).day],
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
        "received": str(Money(row.received, row.currency)),
        "charged": str(Money(charged(rows), sale.currency)),
        "paid": str(Money(paid(rows), sale.currency)),
        "balance": str(Money(charged(rows) - paid(rows), sale.currency)),
    }
