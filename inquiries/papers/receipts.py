"""Issue the receipt of an amount received, and make one anew."""

from datetime import datetime

from django.db import transaction

from catalog.models import Instrument
from inquiries.papers.content_receipt import receipt
from inquiries.papers.models import IssuedPaper
from inquiries.papers.writing import Version, next_version, write
from inquiries.sales.ledger_models import LedgerRow
from shop.staff.models import User

RECEIPT = IssuedPaper.Kind.RECEIPT


def issue_receipt(row: LedgerRow, *, by: User | None, at: datetime) -> IssuedPaper:
    """Issue the receipt of an amount received, under the next number of its year, in the deed's transaction."""
    new = next_version(RECEIPT, cancels=None, reason="", at=at, row=row)
    return _written(new, row, entry=f"receipt-of-row-{row.pk}", by=by, at=at)


@transaction.atomic
def renew_receipt(
    row: LedgerRow, *, entry: str, cancels: int | None, reason: str, by: User | None, at: datetime
) -> IssuedPaper:
    """Issue the next version of a receipt, with the reason; a form sent twice issues one. Both versions are kept.

    Name, address and piece are as they stand now, the account is as it was; an amount that was booked back since is
    said to be. Raises Refused when another version came first, or no reason is written.
    """
    Instrument.objects.select_for_update().get(pk=row.sale.instrument_id)
    if before := IssuedPaper.objects.filter(entry=entry).first():
        return before
    new = next_version(RECEIPT, cancels=cancels, reason=reason, at=at, row=row)
    return _written(new, row, entry=entry, by=by, at=at)


def _written(new: Version, row: LedgerRow, *, entry: str, by: User | None, at: datetime) -> IssuedPaper:
    first = row.receipts.filter(version=1).first()
    content = receipt(row, new, upto=first.at if first else at, at=at)
    sale = row.sale
    return write(new, content, about=sale, instrument=sale.instrument, row=row, entry=entry, by=by, at=at)
