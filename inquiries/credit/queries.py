"""How much store credit a person has."""

from decimal import Decimal

from django.db.models import Sum

from inquiries.credit.models import CreditRow
from inquiries.people.models import Contact
from shop.money import Money


def credit_of(contact: Contact, currency: str) -> Money:
    """The sum of a person's rows in one currency."""
    rows = CreditRow.objects.filter(row__sale__contact=contact, currency=currency)
    return Money(rows.aggregate(sum=Sum("amount"))["sum"] or Decimal(0), currency)


def credits_of(contact: Contact) -> list[Money]:
    """The same in each currency in which there is any."""
    rows = CreditRow.objects.filter(row__sale__contact=contact).order_by("currency")
    sums = rows.values_list("currency").annotate(sum=Sum("amount"))
    return [Money(amount, currency) for currency, amount in sums if amount]
