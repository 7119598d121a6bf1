"""What a running sale charges is changed: a part of the price taken back, or shipping that was agreed on later."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import price_charged
from inquiries.sales.reserve import check_lowered
from inquiries.sales.rules import Step
from inquiries.sales.steps import Kind, add_row, already, check, locked, settled
from inquiries.tax.booking import book_in_deed
from shop.money import Money
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def take_back(
    sale: Sale,
    amount: Decimal,
    *,
    reason: str,
    entry: str,
    below_reserve: str = "",
    by: User | None,
    at: datetime,
) -> LedgerRow:
    """Take a part of the price back, with the reason, and book the tax down with it. A form sent twice does it once.

    What was paid beyond the new price is then owed to the buyer. Raises Refused for the whole price or more, and below
    the reserve unless the owner writes why.
    """
    sale = locked(sale)
    if before := already(entry):
        return before
    check(sale, Step.CHARGE, at=at)
    price = price_charged(sale.rows.all())
    if amount >= price:
        raise Refused(
            f"The price is {Money(price, sale.currency)}, and some of it has to stay. Take back less, "
            "or let the sale fall through.",
            code="whole-price",
        )
    check_lowered(sale, amount, reason=below_reserve, by=by, at=at)
    return _charged(sale, Kind.CREDIT, -amount, reason=reason, entry=entry, by=by, at=at)


@transaction.atomic
def charge_shipping(
    sale: Sale, amount: Decimal, *, reason: str, entry: str, by: User | None, at: datetime
) -> LedgerRow:
    """Charge for shipping on top of what is charged already. A form sent twice charges it once."""
    sale = locked(sale)
    if before := already(entry):
        return before
    check(sale, Step.CHARGE, at=at)
    return _charged(sale, Kind.SHIPPING, amount, reason=reason, entry=entry, by=by, at=at)


def _charged(
    sale: Sale, kind: str, amount: Decimal, *, reason: str, entry: str, by: User | None, at: datetime
) -> LedgerRow:
    row = add_row(sale, kind, amount, by=by, at=at, entry=entry, note=reason)
    book_in_deed(locked(sale), by=by, at=at)
    settled(sale, at=at)
    return row
