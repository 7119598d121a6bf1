"""Sales tax enters the ledger: the difference between what the rules give and what stands there, with its grounds.

Tax on top of the price is a charge to the buyer and a row. Tax that lies inside the price is no charge: it is taken
out of the sales account when the sale closes, and no line of it stands on a paper of the margin scheme.
"""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import of_kinds
from inquiries.sales.rules import Step
from inquiries.sales.steps import Kind, add_row, check, locked, settled
from inquiries.tax.models import TaxBooking
from inquiries.tax.queries import tax_on
from inquiries.tax.rules import Policy, Reckoned
from shop.money import Money
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User


@dataclass(frozen=True)
class Lacking:
    """What the rules give on top of the price, what is booked, and what is to be booked still."""

    should: Decimal
    booked: Decimal
    policy: Policy
    reckoned: Reckoned

    @property
    def amount(self) -> Decimal:
        """The row that brings the ledger up to the rules."""
        return self.should - self.booked


def lacking(sale: Sale, *, at: datetime) -> Lacking | None:
    """What the ledger of a sale lacks of its tax; None where the tax cannot be told, or lies inside the price."""
    found = tax_on(sale, the_shop(), at=at)
    if found is None:
        return None
    _, policy, reckoned = found
    if reckoned.tax is None or reckoned.contained:
        return None
    return Lacking(reckoned.tax, of_kinds(sale.rows.all(), {Kind.TAX}), policy, reckoned)


def tax_inside(sale: Sale, *, at: datetime) -> Decimal:
    """The tax that lies inside the price, by the rules of the day; nought where there is none or it cannot be told."""
    found = tax_on(sale, the_shop(), at=at)
    reckoned = found[2] if found else None
    inside = reckoned.tax if reckoned and reckoned.contained else None
    return inside or Decimal(0)


@transaction.atomic
def book_tax(sale: Sale, *, by: User | None, at: datetime) -> LedgerRow:
    """Add the row that brings the tax up to what the rules give now. Raises Refused when there is nothing to book."""
    sale = locked(sale)
    check(sale, Step.TAX, at=at)
    row = book_in_deed(sale, by=by, at=at)
    if row is None:
        raise Refused(
            "There is no tax to book: it is booked already, lies inside the price, or cannot be told.",
            code="no-tax",
        )
    settled(sale, at=at)
    return row


def book_in_deed(sale: Sale, *, by: User | None, at: datetime) -> LedgerRow | None:
    """The same inside another deed of a locked sale; None when there is nothing to book."""
    found = lacking(sale, at=at)
    if found is None or not found.amount:
        return None
    before = sale.rows.filter(kind=Kind.TAX).count()
    reckoned = found.reckoned
    named = ", ".join(rate.jurisdiction for rate in reckoned.rates)
    row = add_row(
        sale, Kind.TAX, found.amount, by=by, at=at, entry=f"tax-{sale.number}-{before}", note=named[:200]
    )
    TaxBooking.objects.create(
        row=row,
        policy_id=found.policy.key,
        percent=reckoned.percent,
        place=str(reckoned.place or "")[:60],
        whole=found.should,
        why=[
            *reckoned.why,
            *(f"{rate.jurisdiction}: {rate.percent.normalize():f}%" for rate in reckoned.rates),
        ],
    )
    return row


def check_tax_booked(sale: Sale, *, at: datetime) -> None:
    """Raise Refused while the tax cannot be told, or the ledger lacks some of it. Without a policy there is none.

    How the margin scheme treats a consigned piece is for the adviser to say, and keeps no sale open.
    """
    reckoned = tax_on(sale, the_shop(), at=at)
    if reckoned and (why := reckoned[2].not_told):
        no_rate = reckoned[2].place is not None and not reckoned[2].rates
        then = " Add it under “Tax”, from the day on which it began." if no_rate else ""
        raise Refused(
            f"The tax of this sale cannot be told, so it cannot be closed. {why}{then}", code="tax-not-told"
        )
    found = lacking(sale, at=at)
    if found is not None and found.amount:
        raise Refused(
            f"By the shop’s own rates the tax is {Money(found.should, sale.currency)}, and "
            f"{Money(found.booked, sale.currency)} is booked. Book the difference first.",
            code="tax-not-booked",
        )
