"""What was agreed and booked on the money of a sale: whose it is to read.

A buyer reads the own plan, the own credit and the own piece in trade. What another buyer agreed on the same piece is
private, and so are what the closing took out of the price, and what was said to an authority.
"""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from inquiries.cash.models import CashReport
from inquiries.credit.models import TradeIn
from inquiries.credit.queries import credits_of
from inquiries.instalments.models import Instalment, Plan
from inquiries.people.models import Contact
from inquiries.sales.ledger_models import Posting
from inquiries.sales.posting_rules import from_minor
from inquiries.tax.models import TaxBooking

OF_A_CLOSING = {"row__isnull": True, "clearing__isnull": True, "payout__isnull": True}


def others_terms(contact: Contact, keys: Iterable[int]) -> Iterator[Decimal]:
    """Amounts of other buyers on these pieces, and what a closing booked of anybody's sale."""
    keys = list(keys)
    instalments = Instalment.objects.filter(plan__sale__instrument__in=keys)
    yield from instalments.exclude(plan__sale__contact=contact).values_list("amount", flat=True)
    taxes = TaxBooking.objects.filter(row__sale__instrument__in=keys)
    yield from taxes.exclude(row__sale__contact=contact).values_list("whole", flat=True)
    for minor, currency in Posting.objects.filter(sale__instrument__in=keys, **OF_A_CLOSING).values_list(
        "minor", "currency"
    ):
        yield from_minor(minor, currency)


def own_terms(contact: Contact) -> Iterator[Decimal]:
    """The person's own instalments, tax and store credit."""
    yield from Instalment.objects.filter(plan__sale__contact=contact).values_list("amount", flat=True)
    yield from TaxBooking.objects.filter(row__sale__contact=contact).values_list("whole", flat=True)
    yield from (money.amount for money in credits_of(contact))


def notes_on_terms(contact: Contact, keys: Iterable[int]) -> Iterator[str]:
    """What is written beside them: of other buyers, and of reports of cash."""
    keys = list(keys)
    plans = Plan.objects.filter(sale__instrument__in=keys).exclude(sale__contact=contact)
    yield from plans.values_list("note", flat=True)
    traded = TradeIn.objects.filter(row__sale__instrument__in=keys).exclude(row__sale__contact=contact)
    yield from traded.values_list("description", flat=True)
    yield from CashReport.objects.filter(row__sale__instrument__in=keys).values_list("note", flat=True)
    yield from CashReport.objects.filter(row__sale__contact=contact).values_list("note", flat=True)
