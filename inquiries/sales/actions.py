"""The deeds of a sale. Each is one transaction, checks the table of steps, and leaves history beside it."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from catalog.instruments.actions import mark_sold
from catalog.models import Instrument
from inquiries.credit.actions import mirror_reversal
from inquiries.sales.clearing import check_money_final
from inquiries.sales.hold_actions import end_queue, turn_into_sale
from inquiries.sales.hold_models import Hold
from inquiries.sales.ledger_models import Clearing, LedgerRow, Payout
from inquiries.sales.models import Sale
from inquiries.sales.postings import post_clearing, post_closing, post_payout
from inquiries.sales.promises import DAY_HOURS, balance_due
from inquiries.sales.queries import OF_THE_PRICE, awaits_clearing, facts_of, standing_charges
from inquiries.sales.receiving import take_in
from inquiries.sales.reserve import allowed_for, check_lowered, check_reserve
from inquiries.sales.rules import Step
from inquiries.sales.shares import share_due
from inquiries.sales.steps import (
    Kind,
    Received,
    add_row,
    already,
    check,
    check_all_final,
    end,
    locked,
    not_more_than,
    pay_back,
    settled,
)
from inquiries.sales.surcharges import paid_with, surcharge_of
from inquiries.shipping.leaving import after_the_end, check_leaving, same_delivery
from inquiries.shipping.models import Delivery, Shipment
from inquiries.tax.booking import book_in_deed, check_tax_booked, tax_inside
from inquiries.threads.actions import lay_aside
from shop.history.actions import record
from shop.money import Money
from shop.numbers.actions import next_number
from shop.policies.queries import policy_at
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

__all__ = ["Received", "share_due"]


@transaction.atomic
def open_sale(
    hold: Hold,
    *,
    price: Decimal,
    shipping: Decimal,
    money: Received,
    below_reserve: str = "",
    by: User | None,
    at: datetime,
) -> Sale:
    """Open the sale with its first money, on a hold that runs. A form sent twice opens one sale.

    Raises Refused when the hold does not run, or more is received than the whole comes to.
    """
    instrument = Instrument.objects.select_for_update().get(pk=hold.instrument_id)
    if before := already(money.entry):
        return before.sale
    allowed = allowed_for(hold)
    check_reserve(instrument, price, what="sold", reason=below_reserve, allowed=allowed, by=by, at=at)
    turn_into_sale(hold, by=by, at=at)
    sale = _new_sale(hold, instrument, by=by, at=at)
    add_row(sale, Kind.PRICE, price, by=by, at=at, entry=f"{money.entry}-price")
    if shipping:
        add_row(sale, Kind.SHIPPING, shipping, by=by, at=at, entry=f"{money.entry}-shipping")
    book_in_deed(locked(sale), by=by, at=at)
    total = facts_of(locked(sale)).charged
    not_more_than(money.amount, total, instrument.currency)
    kind = Kind.PAYMENT if money.amount == total else Kind.DEPOSIT
    take_in(sale, kind, money, by=by, at=at)
    record(instrument, "sale opened", by=by, at=at, new=sale.number)
    return settled(sale, at=at)


def _new_sale(hold: Hold, instrument: Instrument, *, by: User | None, at: datetime) -> Sale:
    year, policy = at.astimezone(the_shop().zone).year, policy_at(at)
    promised = Hold.objects.get(pk=hold.pk)
    # A free hold says nothing of the balance: the days that the house policy gives then run from the deposit.
    due = balance_due(promised.starts_at, promised.balance_hours) or balance_due(
        at, policy.deposit_hold_days * DAY_HOURS
    )
    return Sale.objects.create(
        number=f"{year}-{next_number(f'sale {year}'):03}",
        instrument=instrument,
        inquiry=hold.inquiry,
        contact=hold.contact,
        currency=instrument.currency,
        approval_hours=policy.approval_hours,
        policy=policy if policy.pk else None,
        balance_due_at=due,
        opened_at=at,
        opened_by=by,
    )


@transaction.atomic
def record_payment(sale: Sale, money: Received, *, by: User | None, at: datetime) -> LedgerRow:
    """Add money received towards the balance, with its receipt. A form sent twice adds one row."""
    sale = locked(sale)
    if before := already(money.entry):
        return before
    check(sale, Step.PAY, at=at)
    not_more_than(money.amount, facts_of(sale).balance, sale.currency)
    row = take_in(sale, Kind.PAYMENT, money, by=by, at=at)
    settled(sale, at=at)
    return row


@transaction.atomic
def refund(sale: Sale, money: Received, *, by: User | None, at: datetime) -> LedgerRow:
    """Pay money back that was received; never more than came in."""
    sale = locked(sale)
    if before := already(money.entry):
        return before
    check(sale, Step.REFUND, at=at)
    row = pay_back(sale, money, by=by, at=at)
    settled(sale, at=at)
    return row


@transaction.atomic
def reverse_row(
    row: LedgerRow, *, reason: str, below_reserve: str = "", by: User | None, at: datetime
) -> LedgerRow:
    """Undo a mistaken row by adding its opposite, with the reason; a surcharge goes with the payment it came with.

    Where that brings the price of a consigned piece below the reserve, it takes the owner, who writes why.
    """
    sale = locked(row.sale)
    check(sale, Step.REVERSE, at=at)
    if row.kind == Kind.REVERSAL or LedgerRow.objects.filter(reverses=row).exists():
        raise Refused(
            "This row has already been reversed, or is a reversal itself. Add the row that is right instead.",
            code="reversed",
        )
    if row.kind == Kind.SURCHARGE and paid_with(row):
        raise Refused(
            "The surcharge was paid with its payment. Reverse the payment; the surcharge goes with it.",
            code="surcharge",
        )
    if row.kind in OF_THE_PRICE and row.amount > 0:
        check_lowered(sale, row.amount, reason=below_reserve, by=by, at=at)
    if row.is_money_in and (surcharge := surcharge_of(row)):
        _oppose(sale, surcharge, reason=reason, by=by, at=at)
    opposite = _oppose(sale, row, reason=reason, by=by, at=at)
    settled(sale, at=at)
    return opposite


def _oppose(sale: Sale, row: LedgerRow, *, reason: str, by: User | None, at: datetime) -> LedgerRow:
    opposite = add_row(
        sale, Kind.REVERSAL, -row.amount, by=by, at=at, entry=f"reverses-{row.pk}", note=reason, reverses=row
    )
    mirror_reversal(opposite, by=by, at=at)
    return opposite


@transaction.atomic
def mark_cleared(row: LedgerRow, *, by: User | None, at: datetime, booked: Decimal | None = None) -> Clearing:
    """The bank has made this amount final. Of money in another currency, `booked` is what the bank made of it."""
    sale = locked(row.sale)
    if before := Clearing.objects.filter(row=row).first():
        return before
    check(sale, Step.CLEAR, at=at)
    row = sale.rows.get(pk=row.pk)
    if not row.is_money_in:
        raise Refused(
            "Only money received can be marked as cleared. Choose the row of a payment.", code="not-money"
        )
    if not awaits_clearing(row):
        raise Refused(
            "Cash is final in the hand, and a reversed row never clears. Choose a payment that waits for the bank.",
            code="nothing-to-clear",
        )
    if booked is not None and not hasattr(row, "exchange"):
        raise Refused(
            "Only money in another currency can be booked at another amount than was received. Leave the amount out.",
            code="no-rate",
        )
    final = Money(booked or row.received, sale.currency)
    record(sale, "cleared", by=by, at=at, field=row.get_kind_display(), new=final)
    clearing = Clearing.objects.create(row=row, amount=booked, by=by, at=at)
    post_clearing(clearing)
    return clearing


@transaction.atomic
def ship(sale: Sale, shipment: Shipment, *, by: User | None, at: datetime) -> Shipment:
    """Record that the instrument left. `shipment` is filled but unsaved.

    Raises Refused while money is owed, or not cleared and no reason is written; of a parcel, where a photograph or a
    reason for what is unusual lacks; of a piece that is fetched, where nobody says who came.
    """
    sale = locked(sale)
    if before := Shipment.objects.filter(sale=sale).first():
        return before
    check(sale, Step.SHIP, at=at)
    check_money_final(facts_of(sale), shipment.uncleared_reason, by=by)
    shipment.sale, shipment.by, shipment.at, shipment.currency = sale, by, at, sale.currency
    check_leaving(shipment)
    shipment.save()
    record(sale, "sent", by=by, at=at, new=shipment)
    settled(sale, at=at)
    return shipment


@transaction.atomic
def deliver(
    sale: Sale,
    *,
    delivered_at: datetime,
    note: str,
    zone: str = "",
    signed_by: str = "",
    by: User | None,
    at: datetime,
) -> Delivery:
    """Record the instant the buyer had it; the approval period runs from there. `zone` is the buyer’s.

    Raises Refused when another delivery is recorded already; the same one sent twice is one.
    """
    sale = locked(sale)
    if before := Delivery.objects.filter(shipment__sale=sale).first():
        return same_delivery(before, at=delivered_at, signed_by=signed_by, note=note)
    check(sale, Step.DELIVER, at=at)
    if not sale.shipment.at <= delivered_at <= at:
        raise Refused(
            "The delivery must lie between the day it was sent and now. Check the date and time.",
            code="delivery-out-of-order",
        )
    record(sale, "delivered", by=by, at=at, new=delivered_at.isoformat())
    delivery = Delivery.objects.create(
        shipment=sale.shipment,
        at=delivered_at,
        zone=zone or the_shop().time_zone,
        signed_by=signed_by,
        note=note,
        by=by,
        noted_at=at,
    )
    settled(sale, at=at)
    return delivery


@transaction.atomic
def close_sale(sale: Sale, *, by: User | None, at: datetime) -> Sale:
    """Close a sale whose approval is over, whose balance is nil, and whose money is final.

    The instrument goes to the sold archive, the queue ends, and the buyer's inquiry is laid aside.
    """
    sale = locked(sale)
    if sale.outcome == Sale.Outcome.CLOSED:
        return sale
    check(sale, Step.CLOSE, at=at)
    balance = facts_of(sale).balance
    if balance:
        raise Refused(
            f"The balance is {Money(balance, sale.currency)}, so the sale cannot be closed. "
            "Record the payment or the refund that settles it.",
            code="balance-owed",
        )
    check_all_final(sale, Step.CLOSE)
    check_tax_booked(sale, at=at)
    post_closing(sale, share=share_due(sale), tax_inside=tax_inside(sale, at=at), at=at)
    end(sale, Sale.Outcome.CLOSED, "", by=by, at=at)
    mark_sold(sale.instrument, by=by, at=at)
    end_queue(sale.instrument, by=by, at=at)
    lay_aside(sale.inquiry, by=by, at=at)
    return settled(sale, at=at)


@transaction.atomic
def end_without_sale(
    sale: Sale, *, reason: str, money: Received | None, by: User | None, at: datetime
) -> Sale:
    """The sale is off: returned if it comes back, fallen through if it never left or was lost.

    `money` is what is paid back (None for nothing). Every charge is reversed; what is not paid back is charged as
    kept, so that the ledger adds up to nil and says why. The queue moves up, or ends with a parcel that was lost.
    """
    sale = locked(sale)
    facts = facts_of(sale)
    returned = bool(facts.delivered_at or facts.returning_at)
    step = Step.RETURN if returned else Step.FALL_THROUGH
    check(sale, step, at=at)
    check_all_final(sale, step)
    if money is not None:
        pay_back(sale, money, by=by, at=at)
        sale = locked(sale)
    for row in standing_charges(sale.rows.all()):
        _oppose(sale, row, reason=reason[:200], by=by, at=at)
    kept = facts_of(locked(sale)).paid
    if kept < 0:
        raise Refused(
            f"{Money(-kept, sale.currency)} more went back than came in. Record the money that settles it, or reverse "
            "what was entered by mistake.",
            code="paid-back-too-much",
        )
    if kept:
        add_row(sale, Kind.RESTOCKING, kept, by=by, at=at, entry=f"kept-{sale.number}", note=reason[:200])
    outcome = Sale.Outcome.RETURNED if returned else Sale.Outcome.FELL_THROUGH
    end(sale, outcome, reason, by=by, at=at)
    after_the_end(sale, by=by, at=at)
    return settled(sale, at=at)


@transaction.atomic
def pay_consignor(sale: Sale, *, method: str, by: User | None, at: datetime) -> Payout:
    """Pay the consignor's share of a closed sale."""
    sale = locked(sale)
    if before := Payout.objects.filter(sale=sale).first():
        return before
    share = share_due(sale)
    if sale.outcome != Sale.Outcome.CLOSED or not share:
        raise Refused(
            "A consignor is paid when the sale of a consigned piece has closed. Close the sale first, if it is one.",
            code="no-share",
        )
    record(sale, "consignor paid", by=by, at=at, new=Money(share, sale.currency))
    payout = Payout.objects.create(
        sale=sale, amount=share, currency=sale.currency, method=method, by=by, at=at
    )
    post_payout(payout)
    return payout
