"""What was agreed with a person on money: it goes along in a merge, stands in the file, and holds back an erasing."""

from datetime import date
from decimal import Decimal

import pytest

from inquiries.credit.models import CreditRow
from inquiries.credit.queries import credit_of
from inquiries.instalments.models import Instalment, Plan
from inquiries.models import LedgerRow, Sale
from inquiries.people.erase_actions import erase
from inquiries.people.erasing import Traces
from inquiries.people.export import gathered
from inquiries.people.merge_actions import merge
from shop.models import User
from shop.refusal import Refused
from tests.factories import NOON, ContactFactory
from tests.inquiries.steps import closed


def credited(sale: Sale, amount: str) -> None:
    """Store credit given, or below nought used, in a sale."""
    kind = "to-credit" if Decimal(amount) > 0 else "by-credit"
    row = LedgerRow.objects.create(
        sale=sale, kind=kind, amount=Decimal(amount), currency="USD", at=NOON, entry=f"{sale.number}{kind}"
    )
    CreditRow.objects.create(row=row, amount=Decimal(amount), currency="USD", at=NOON)


def test_credit_and_instalments_follow_the_person(owner: User) -> None:
    sale = closed()
    plan = Plan.objects.create(sale=sale, grace_days=7, currency="USD", entry="p", at=NOON)
    Instalment.objects.create(plan=plan, due_on=date(2026, 7, 1), amount=Decimal("777.50"))
    credited(sale, "40.00")
    kept = ContactFactory()
    merge(kept, sale.contact, by=owner, at=NOON)
    assert str(credit_of(kept, "USD")) == "$40"
    (said,) = gathered(Traces(kept))["sales"]
    assert [str(row["amount"]) for row in said["instalments"]] == ["777.50"]
    assert [str(row["amount"]) for row in said["store credit"]] == ["40.00"]
    assert {str(row["amount"]).partition(".")[2] for row in said["ledger"]} == {"00"}
    with pytest.raises(Refused) as refusal:
        erase(kept, by=owner, at=NOON)
    assert "They have $40 of store credit left." in refusal.value.message
    credited(sale, "-40.00")
    erase(kept, by=owner, at=NOON)
    assert LedgerRow.objects.filter(sale=sale, kind="by-credit").exists()
