"""What was agreed on the money of a sale, in the small shop of the tests: plan, tax, store credit, a piece in trade."""

from datetime import timedelta
from decimal import Decimal

from catalog.models import Instrument
from inquiries.models import (
    CashReport,
    CreditRow,
    Instalment,
    LedgerRow,
    Plan,
    Sale,
    TaxBooking,
    TaxPolicy,
    TradeIn,
)
from shop.models import User
from tests.factories import NOON

DAY = timedelta(days=1)
AT = NOON - 88 * DAY
Kind = LedgerRow.Kind


def terms(sale: Sale, owner: User) -> None:
    """A sale with tax on it, paid by a trade-in, by store credit, and in cash by a plan; the cash was reported."""
    amounts = {Kind.PRICE: 500, Kind.TAX: 50, Kind.TRADE_IN: -300, Kind.BY_CREDIT: -100, Kind.PAYMENT: -150}
    rows = {kind: _row(sale, owner, kind, Decimal(amount)) for kind, amount in amounts.items()}
    plan = Plan.objects.create(sale=sale, grace_days=7, currency="USD", note="x", entry="x", by=owner, at=AT)
    Instalment.objects.create(plan=plan, due_on=AT.date(), amount=Decimal(150))
    TaxBooking.objects.create(
        row=rows[Kind.TAX],
        policy=TaxPolicy.objects.earliest("pk"),
        percent=Decimal(10),
        place="x",
        whole=Decimal(50),
        why=["x"],
    )
    CreditRow.objects.create(row=rows[Kind.BY_CREDIT], amount=Decimal(-100), currency="USD", by=owner, at=AT)
    TradeIn.objects.create(
        row=rows[Kind.TRADE_IN],
        instrument=Instrument.objects.filter(state=Instrument.State.LISTED).earliest("pk"),
        description="x",
        by=owner,
        at=AT,
    )
    CashReport.objects.create(row=rows[Kind.PAYMENT], filed_on=AT.date(), note="x", by=owner, at=AT)


def _row(sale: Sale, owner: User, kind: str, amount: Decimal) -> LedgerRow:
    return LedgerRow.objects.create(
        sale=sale,
        kind=kind,
        amount=amount,
        currency="USD",
        method=LedgerRow.Method.CASH if kind == Kind.PAYMENT else "",
        note="x",
        by=owner,
        at=AT,
        entry=f"terms-{kind}",
    )
