"""What the page of a sale says first: what is done and by whom, what is next, whose move it is, and until when."""

from datetime import datetime
from typing import Any

from inquiries.instalments.panel import next_instalment
from inquiries.instalments.queries import instant_due
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import standing_call
from inquiries.sales.rules import SaleFacts
from inquiries.sales.shares import due_on, share_due
from inquiries.sales.way_rules import Deadlines, Done, in_order, next_move, paid_off
from shop.money import Money
from shop.staff.models import User


def way_panel(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any]:
    """The way so far and the next move."""
    move = next_move(facts, deadlines_of(sale, user=user, at=at), at=at)
    return {"done": done_in(sale, facts, at=at), "move": move}


def deadlines_of(sale: Sale, *, user: User, at: datetime) -> Deadlines:
    """What was promised for the balance; what the consignor waits for, for the owner's eyes."""
    instant, day = next_instalment(sale, at=at) or (sale.balance_due_at, None)
    if not user.is_owner or sale.outcome != Sale.Outcome.CLOSED or hasattr(sale, "payout"):
        return Deadlines(balance=instant, balance_day=day)
    until = due_on(sale)
    return Deadlines(
        payout=instant_due(until) if until else None, payout_day=until, payout_waits=bool(share_due(sale))
    )


def done_in(sale: Sale, facts: SaleFacts, *, at: datetime) -> list[Done]:
    """Each thing that was done, from the row that says so."""
    shipment = getattr(sale, "shipment", None)
    delivery, call = getattr(shipment, "delivery", None), standing_call(sale)
    inspection = getattr(sale, "inspection", None)
    settled = None if sale.outcome else paid_off((row.at, row.amount) for row in sale.rows.all())
    approved = facts.approval_until
    over = approved is not None and approved <= at and call is None
    return in_order(
        [
            Done("Opened with the first money", sale.opened_at, str(sale.opened_by or "")),
            Done("Paid in full", settled) if settled else None,
            *(_cleared(row) for row in sale.rows.all()),
            Done("Sent" if shipment.carrier else "Handed over", shipment.at, str(shipment.by or ""))
            if shipment
            else None,
            Done("Delivered", delivery.at, str(delivery.by or "")) if delivery else None,
            Done("Approval over", approved) if over and approved else None,
            Done("Announced that it comes back", call.said_at, str(call.by or "")) if call else None,
            Done("Looked at", inspection.at, str(inspection.by or "")) if inspection else None,
            Done(sale.get_outcome_display(), sale.ended_at) if sale.ended_at else None,
        ]
    )


def _cleared(row: LedgerRow) -> Done | None:
    clearing = getattr(row, "clearing", None)
    if clearing is None:
        return None
    return Done(
        f"Final at the bank: {Money(row.received, row.currency)}", clearing.at, str(clearing.by or "")
    )
