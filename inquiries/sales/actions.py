"""The deeds of a sale. Each is one transaction, checks the table of steps, and leaves history beside it."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from catalog.instruments.actions import mark_sold
from catalog.models import Instrument
from inquiries.papers.actions import issue_receipt
from inquiries.sales.hold_actions import end_queue, resume_queue, turn_into_sale
from inquiries.sales.models import Clearing, Hold, LedgerRow, Payout, Sale
from inquiries.sales.queries import facts_of, price_charged, with_rows
from inquiries.sales.rules import Step, allowed, consignor_share, stage
from inquiries.shipping.models import Delivery, Shipment
from inquiries.threads.actions import lay_aside
from shop.history.actions import record
from shop.money import Money
from shop.numbers.actions import next_number
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

Kind = LedgerRow.Kind


@dataclass(frozen=True)
class Received:
    """Money that came in or goes out: a positive amount in the sale's currency. `entry` names the press
    of the form it came from, so that a form sent twice is one row."""

    amount: Decimal
    method: str
    entry: str
    note: str = ""


@transaction.atomic
def open_sale(
    hold: Hold, *, price: Decimal, shipping: Decimal, money: Received, by: User | None, at: datetime
) -> Sale:
    """Open the sale with its first money, on a hold that runs. A form sent twice opens one sale.

    Raises Refused when the hold does not run, or more is received than the whole comes to.
    """
    instrument = Instrument.objects.select_for_update().get(pk=hold.instrument_id)
    if before := LedgerRow.objects.filter(entry=money.entry).first():
        return before.sale
    _not_more_than(money.amount, price + shipping, instrument.currency)
    turn_into_sale(hold, by=by, at=at)
    sale = _new_sale(hold, instrument, by=by, at=at)
    _add(sale, Kind.PRICE, price, by=by, at=at, entry=f"{money.entry}-price")
    if shipping:
        _add(sale, Kind.SHIPPING, shipping, by=by, at=at, entry=f"{money.entry}-shipping")
    kind = Kind.PAYMENT if money.amount == price + shipping else Kind.DEPOSIT
    _take_in(sale, kind, money, by=by, at=at)
    record(instrument, "sale opened", by=by, at=at, new=sale.number)
    return sale


def _new_sale(hold: Hold, instrument: Instrument, *, by: User | None, at: datetime) -> Sale:
    shop = the_shop()
    year = at.astimezone(shop.zone).year
    return Sale.objects.create(
        number=f"{year}-{next_number(f'sale {year}'):03}",
        instrument=instrument,
        inquiry=hold.inquiry,
        contact=hold.contact,
        currency=instrument.currency,
        approval_hours=shop.approval_hours,
        opened_at=at,
        opened_by=by,
    )


@transaction.atomic
def record_payment(sale: Sale, money: Received, *, by: User | None, at: datetime) -> LedgerRow:
    """Add money received towards the balance, with its receipt. A form sent twice adds one row."""
    sale = _locked(sale)
    if before := _already(money):
        return before
    _check(sale, Step.PAY, at=at)
    _not_more_than(money.amount, facts_of(sale).balance, sale.currency)
    return _take_in(sale, Kind.PAYMENT, money, by=by, at=at)


@transaction.atomic
def refund(sale: Sale, money: Received, *, by: User | None, at: datetime) -> LedgerRow:
    """Pay money back that was received; never more than came in."""
    sale = _locked(sale)
    if before := _already(money):
        return before
    _check(sale, Step.REFUND, at=at)
    return _pay_back(sale, money, by=by, at=at)


@transaction.atomic
def reverse_row(row: LedgerRow, *, reason: str, by: User | None, at: datetime) -> LedgerRow:
    """Undo a mistaken row by adding its opposite, with the reason."""
    sale = _locked(row.sale)
    _check(sale, Step.REVERSE, at=at)
    if row.kind == Kind.REVERSAL or LedgerRow.objects.filter(reverses=row).exists():
        raise Refused("This row has already been reversed, or is a reversal itself.", code="reversed")
    return _add(
        sale, Kind.REVERSAL, -row.amount, by=by, at=at, entry=f"reverses-{row.pk}", note=reason, reverses=row
    )


@transaction.atomic
def mark_cleared(row: LedgerRow, *, by: User | None, at: datetime) -> Clearing:
    """The bank has made this amount final."""
    sale = _locked(row.sale)
    if before := Clearing.objects.filter(row=row).first():
        return before
    _check(sale, Step.CLEAR, at=at)
    if not row.is_money_in:
        raise Refused("Only money received can be marked as cleared.", code="not-money")
    record(sale, "cleared", by=by, at=at, field=row.get_kind_display(), new=row.received)
    return Clearing.objects.create(row=row, by=by, at=at)


@transaction.atomic
def ship(sale: Sale, shipment: Shipment, *, by: User | None, at: datetime) -> Shipment:
    """Record that the instrument left. `shipment` is filled but unsaved.

    Raises Refused while money is owed, or not cleared and no reason is written.
    """
    sale = _locked(sale)
    if before := Shipment.objects.filter(sale=sale).first():
        return before
    _check(sale, Step.SHIP, at=at)
    if facts_of(sale).uncleared and not shipment.uncleared_reason:
        raise Refused(
            "Money received has not cleared. Mark it as cleared first, or write down why it leaves before.",
            code="uncleared",
        )
    shipment.sale, shipment.by, shipment.at, shipment.currency = sale, by, at, sale.currency
    shipment.save()
    record(sale, "sent", by=by, at=at, new=shipment)
    return shipment


@transaction.atomic
def deliver(sale: Sale, *, delivered_at: datetime, note: str, by: User | None, at: datetime) -> Delivery:
    """Record the instant the buyer had it; the approval period runs from there."""
    sale = _locked(sale)
    if before := Delivery.objects.filter(shipment__sale=sale).first():
        return before
    _check(sale, Step.DELIVER, at=at)
    if not sale.shipment.at <= delivered_at <= at:
        raise Refused(
            "The delivery must lie between the day it was sent and now. Check the date and time.",
            code="delivery-out-of-order",
        )
    record(sale, "delivered", by=by, at=at, new=delivered_at.isoformat())
    return Delivery.objects.create(shipment=sale.shipment, at=delivered_at, note=note, by=by, noted_at=at)


@transaction.atomic
def close_sale(sale: Sale, *, by: User | None, at: datetime) -> Sale:
    """Close a sale whose approval is over and whose balance is nil.

    The instrument goes to the sold archive, the queue ends, and the buyer's inquiry is laid aside.
    """
    sale = _locked(sale)
    if sale.outcome == Sale.Outcome.CLOSED:
        return sale
    _check(sale, Step.CLOSE, at=at)
    balance = facts_of(sale).balance
    if balance:
        raise Refused(
            f"The balance is {Money(balance, sale.currency)}, so the sale cannot be closed. "
            "Record the payment or the refund that settles it.",
            code="balance-owed",
        )
    _end(sale, Sale.Outcome.CLOSED, "", by=by, at=at)
    mark_sold(sale.instrument, by=by, at=at)
    end_queue(sale.instrument, by=by, at=at)
    lay_aside(sale.inquiry, by=by, at=at)
    return sale


@transaction.atomic
def end_without_sale(
    sale: Sale, *, reason: str, money: Received | None, by: User | None, at: datetime
) -> Sale:
    """The sale is off: returned if the buyer had it, fallen through if not.

    `money` is what is paid back (None for nothing). The rest of what was charged is taken back, so
    the ledger adds up to nil; what was kept stays visible in it. The queue moves up.
    """
    sale = _locked(sale)
    returned = facts_of(sale).delivered_at is not None
    _check(sale, Step.RETURN if returned else Step.FALL_THROUGH, at=at)
    if money is not None:
        _pay_back(sale, money, by=by, at=at)
        sale = _locked(sale)
    balance = facts_of(sale).balance
    if balance < 0:
        raise Refused(
            f"The buyer has paid {Money(-balance, sale.currency)} too much. Pay that back as well.",
            code="overpaid",
        )
    if balance:
        _add(sale, Kind.CREDIT, -balance, by=by, at=at, entry=f"credit-{sale.number}", note=reason)
    outcome = Sale.Outcome.RETURNED if returned else Sale.Outcome.FELL_THROUGH
    _end(sale, outcome, reason, by=by, at=at)
    resume_queue(sale.instrument, at=at)
    return sale


@transaction.atomic
def pay_consignor(sale: Sale, *, method: str, by: User | None, at: datetime) -> Payout:
    """Pay the consignor's share of a closed sale."""
    sale = _locked(sale)
    if before := Payout.objects.filter(sale=sale).first():
        return before
    share = share_due(sale)
    if sale.outcome != Sale.Outcome.CLOSED or not share:
        raise Refused("A consignor is paid when the sale of a consigned piece has closed.", code="no-share")
    record(sale, "consignor paid", by=by, at=at, new=share)
    return Payout.objects.create(sale=sale, amount=share, currency=sale.currency, method=method, by=by, at=at)


def share_due(sale: Sale) -> Decimal:
    """The consignor's share of the price of `sale`; nil for a piece that was bought."""
    acquisition = getattr(sale.instrument, "acquisition", None)
    percent = acquisition.commission_percent if acquisition else None
    return consignor_share(price_charged(sale.rows.all()), percent)


def _locked(sale: Sale) -> Sale:
    # The instrument's row is the lock for everything promised or sold of it, so a hold placed meanwhile waits.
    Instrument.objects.select_for_update().get(pk=sale.instrument_id)
    return with_rows(Sale.objects.all()).get(pk=sale.pk)


def _already(money: Received) -> LedgerRow | None:
    return LedgerRow.objects.filter(entry=money.entry).first()


def _check(sale: Sale, step: Step, *, at: datetime) -> None:
    facts = facts_of(sale)
    if not allowed(step, facts, at=at):
        raise Refused(
            f"The sale stands at “{stage(facts, at=at)}”, so you cannot {step} now.", code="step-not-allowed"
        )


def _not_more_than(amount: Decimal, most: Decimal, currency: str) -> None:
    if amount > most:
        raise Refused(
            f"{Money(amount, currency)} is more than the {Money(most, currency)} that is owed. "
            "Do not send a surplus back before the money is final: it is a usual way of fraud.",
            code="more-than-owed",
        )


def _take_in(sale: Sale, kind: str, money: Received, *, by: User | None, at: datetime) -> LedgerRow:
    row = _add(
        sale, kind, -money.amount, by=by, at=at, entry=money.entry, method=money.method, note=money.note
    )
    issue_receipt(row, by=by, at=at)
    return row


def _pay_back(sale: Sale, money: Received, *, by: User | None, at: datetime) -> LedgerRow:
    held = facts_of(sale).paid
    if money.amount > held:
        raise Refused(
            f"{Money(money.amount, sale.currency)} is more than the {Money(held, sale.currency)} received.",
            code="more-than-received",
        )
    return _add(
        sale,
        Kind.REFUND,
        money.amount,
        by=by,
        at=at,
        entry=money.entry,
        method=money.method,
        note=money.note,
    )


def _add(
    sale: Sale,
    kind: str,
    amount: Decimal,
    *,
    by: User | None,
    at: datetime,
    entry: str,
    method: str = "",
    note: str = "",
    reverses: LedgerRow | None = None,
) -> LedgerRow:
    row = LedgerRow.objects.create(
        sale=sale,
        kind=kind,
        amount=amount,
        currency=sale.currency,
        method=method,
        note=note,
        by=by,
        at=at,
        entry=entry,
        reverses=reverses,
    )
    record(sale, "added", by=by, at=at, field=row.get_kind_display(), new=amount)
    return row


def _end(sale: Sale, outcome: Sale.Outcome, reason: str, *, by: User | None, at: datetime) -> None:
    won = Sale.objects.filter(pk=sale.pk, ended_at__isnull=True).update(
        ended_at=at, outcome=outcome, reason=reason
    )
    if not won:
        raise Refused("This sale has already ended. The page shows how it stands now.", code="ended")
    record(sale, outcome.label.lower(), by=by, at=at, field="outcome", new=reason)
    record(sale.instrument, f"sale {outcome.label.lower()}", by=by, at=at, new=sale.number)
