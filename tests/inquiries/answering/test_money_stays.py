"""Instalments, tax, store credit and pieces in trade: a buyer reads the own ones, and nobody another's."""

from datetime import date
from decimal import Decimal

import pytest

from inquiries.answering.private import known_to, private_of
from inquiries.credit.models import CreditRow, TradeIn
from inquiries.instalments.models import Instalment, Plan
from inquiries.models import CashReport, Inquiry, LedgerRow, Posting, Sale, TaxBooking, TaxPolicy
from shop.models import ShopProfile
from tests.factories import NOON, InquiryFactory, InstrumentFactory
from tests.inquiries.steps import opened

OWN = {Decimal("777"), Decimal("55.50"), Decimal("42.50")}  # an instalment, tax in all, store credit left


@pytest.fixture
def sale(profile: ShopProfile) -> Sale:
    made = opened(price="10000.00", deposit="2000.00")
    plan = Plan.objects.create(
        sale=made, grace_days=7, currency="USD", note="As her brother asked", entry="p", at=NOON
    )
    Instalment.objects.create(plan=plan, due_on=date(2026, 7, 1), amount=777)
    rows = {
        kind: LedgerRow.objects.create(
            sale=made, kind=kind, amount=amount, currency="USD", at=NOON, entry=f"e-{kind}"
        )
        for kind, amount in (("tax", 3), ("to-credit", Decimal("42.50")), ("trade-in", -100))
    }
    policy = TaxPolicy.objects.create(starts=date(2026, 1, 1), scheme="sales-tax", at=NOON)
    TaxBooking.objects.create(row=rows["tax"], policy=policy, percent=6, whole=Decimal("55.50"), why=[])
    CreditRow.objects.create(row=rows["to-credit"], amount=Decimal("42.50"), currency="USD", at=NOON)
    TradeIn.objects.create(
        row=rows["trade-in"], instrument=InstrumentFactory(), description="A banjo with a split rim", at=NOON
    )
    CashReport.objects.create(row=rows["tax"], filed_on=date(2026, 6, 12), note="Sent under No. 7", at=NOON)
    Posting.objects.create(sale=made, debit="sales", credit="tax", minor=522, currency="USD", at=NOON)
    return made


def test_another_buyer_reads_none_of_it(sale: Sale, profile: ShopProfile) -> None:
    other: Inquiry = InquiryFactory(instrument=sale.instrument)
    found = private_of(other, [sale.instrument])
    assert {Decimal(777), Decimal("55.50"), Decimal("42.50"), Decimal(100), Decimal("5.22")} <= found.figures
    told = {"As her brother asked", "A banjo with a split rim", "Sent under No. 7"}
    assert told <= set(found.notes)
    assert not OWN & known_to(other, [], profile, at=NOON).figures


def test_the_buyer_reads_the_own(sale: Sale, profile: ShopProfile) -> None:
    assert known_to(sale.inquiry, [], profile, at=NOON).figures >= OWN
    found = private_of(sale.inquiry, [sale.instrument])
    assert not {Decimal(777), Decimal("55.50")} & found.figures
    assert Decimal("5.22") in found.figures, "what the closing took out of the price is the shop’s"
    assert "A banjo with a split rim" not in found.notes
    assert "Sent under No. 7" in found.notes
