"""Store credit given and used, and a piece taken in part payment. The owner's deeds, but for paying by credit."""

import uuid
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from catalog.instruments.actions import open_record
from catalog.models import Acquisition, Cost, Instrument, Kind
from catalog.pricing.actions import add_cost, describe_acquisition
from inquiries.credit.models import CreditRow, TradeIn
from inquiries.credit.queries import credit_of
from inquiries.people.models import Contact
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import facts_of
from inquiries.sales.rules import Step
from inquiries.sales.steps import add_row, already, check, check_may_go_back, locked, not_more_than, settled
from shop.history.actions import record
from shop.money import Money
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

Row = LedgerRow.Kind


@dataclass(frozen=True)
class Traded:
    """A piece that the buyer gives: what it is, and the value it counts for in the sale's currency."""

    kind: Kind
    description: str
    value: Decimal
    entry: str


@transaction.atomic
def give_credit(
    sale: Sale, amount: Decimal, *, entry: str, note: str = "", by: User | None, at: datetime
) -> LedgerRow:
    """Pay back in store credit instead of money; never more than came in. A form sent twice gives it once."""
    sale = locked(sale)
    if before := already(entry):
        return before
    check(sale, Step.REFUND, at=at)
    check_may_go_back(sale, amount)
    row = add_row(sale, Row.TO_CREDIT, amount, by=by, at=at, entry=entry, note=note)
    _mirror(row, amount, by=by, at=at)
    settled(sale, at=at)
    return row


@transaction.atomic
def pay_by_credit(sale: Sale, amount: Decimal, *, entry: str, by: User | None, at: datetime) -> LedgerRow:
    """Pay by store credit. Raises Refused for more than the person has, or than is owed."""
    sale = locked(sale)
    if before := already(entry):
        return before
    check(sale, Step.PAY, at=at)
    not_more_than(amount, facts_of(sale).balance, sale.currency)
    _enough(sale, amount, "Take that much of it at most; what is owed besides comes as a payment.")
    row = add_row(sale, Row.BY_CREDIT, -amount, by=by, at=at, entry=entry)
    _mirror(row, -amount, by=by, at=at)
    settled(sale, at=at)
    return row


def mirror_reversal(opposite: LedgerRow, *, by: User | None, at: datetime) -> None:
    """A row of store credit that is reversed takes the credit with it; a piece taken in trade loses its cost.

    Called inside the deed that reversed it. Raises Refused when the credit has been used already.
    """
    undone = opposite.reverses
    credit = CreditRow.objects.filter(row=undone).first()
    if credit is not None:
        if credit.amount > 0:
            _enough(opposite.sale, credit.amount, "The rest has been used: reverse it there first.")
        _mirror(opposite, -credit.amount, by=by, at=at)
    trade = TradeIn.objects.select_related("instrument").filter(row=undone).first()
    if trade is not None:
        _give_back(trade, opposite, by=by, at=at)


@transaction.atomic
def take_in_trade(sale: Sale, traded: Traded, *, by: User | None, at: datetime) -> TradeIn:
    """Count a piece of the buyer's against the balance, and open its record with that value as its cost.

    A form sent twice opens one record. Raises Refused for more than is owed.
    """
    sale = locked(sale)
    if before := TradeIn.objects.filter(row__entry=traded.entry).first():
        return before
    check(sale, Step.PAY, at=at)
    owed = facts_of(sale).balance
    if traded.value > owed:
        raise Refused(
            f"{Money(traded.value, sale.currency)} is more than the {Money(owed, sale.currency)} that is owed. Take it "
            "in trade for what is owed. What it is worth beyond that is settled apart: pay it to the buyer, and enter "
            "it with the piece under “Costs and seller” as a purchase of its own.",
            code="more-than-owed",
        )
    row = add_row(
        sale, Row.TRADE_IN, -traded.value, by=by, at=at, entry=traded.entry, note=traded.description[:200]
    )
    piece = _piece(sale, traded, by=by, at=at)
    trade = TradeIn.objects.create(row=row, instrument=piece, description=traded.description, by=by, at=at)
    settled(sale, at=at)
    return trade


def _piece(sale: Sale, traded: Traded, *, by: User | None, at: datetime) -> Instrument:
    piece = open_record(traded.kind, by=by, at=at, currency=sale.currency)
    day = at.astimezone(the_shop().zone).date()
    note = f"In trade for No. {sale.instrument.stock_id}, sale {sale.number}: {traded.description}"
    values = {"how": Acquisition.How.BOUGHT, "seller": sale.contact.name, "on": day, "note": note}
    describe_acquisition(piece, values, by=by, at=at)
    entry, kind = uuid.UUID(traded.entry), Cost.Kind.PURCHASE
    add_cost(piece, kind, traded.value, entry=entry, on=day, note=note[:200], by=by, at=at)
    return piece


def _give_back(trade: TradeIn, opposite: LedgerRow, *, by: User | None, at: datetime) -> None:
    """The piece goes back to the buyer: its cost is taken back, and nobody can have been offered it any longer."""
    piece = Instrument.objects.select_for_update().get(pk=trade.instrument_id)
    if piece.state not in (Instrument.State.DRAFT, Instrument.State.WITHDRAWN):
        sold = piece.state == Instrument.State.SOLD
        first = (
            "Pay its value back in money." if sold else "Withdraw it first, or pay its value back in money."
        )
        raise Refused(
            f"No. {piece.stock_id}, which was taken in trade, is {piece.get_state_display().lower()}. {first}",
            code="trade-in-offered",
        )
    day = at.astimezone(the_shop().zone).date()
    value = Decimal(-trade.row.amount)
    entry = uuid.uuid5(uuid.NAMESPACE_OID, opposite.entry)
    note = f"Given back: {opposite.note}"[:200]
    add_cost(piece, Cost.Kind.PURCHASE, -value, entry=entry, on=day, note=note, by=by, at=at)
    record(piece, "given back", by=by, at=at, field="trade-in", new=opposite.sale.number)


def _mirror(row: LedgerRow, amount: Decimal, *, by: User | None, at: datetime) -> None:
    CreditRow.objects.create(row=row, amount=amount, currency=row.currency, by=by, at=at)


def _enough(sale: Sale, amount: Decimal, instead: str) -> None:
    """The person's row is locked, so that the same credit is not used in two sales at once."""
    person = Contact.objects.select_for_update(no_key=True).get(pk=sale.contact_id)
    has = credit_of(person, sale.currency)
    if amount > has.amount:
        raise Refused(
            f"{person.name} has {has} of store credit, which is less than {Money(amount, sale.currency)}. "
            + instead,
            code="not-enough-credit",
        )
