"""Deeds on a return: it is announced, kept after all, or looked at. What is paid back is settled by the sale."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from catalog.instruments.actions import move
from catalog.models import Instrument
from inquiries.returns.models import Inspection, InspectionLine, ReturnCall, ReturnDropped
from inquiries.sales.hold_actions import end_queue
from inquiries.sales.models import Sale
from inquiries.sales.queries import facts_of, standing_call
from inquiries.sales.rules import Step
from inquiries.sales.steps import check, locked, settled
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User

NOT_AS_SENT = "It came back from another buyer, not as it was sent"


@transaction.atomic
def announce(call: ReturnCall, *, by: User | None, at: datetime) -> ReturnCall:
    """The buyer sends it back, or it comes back undelivered. `call` is filled but unsaved; a second press hands back
    the word that stands.

    Raises Refused for an instant out of order, after the approval period without a written reason, and for a piece
    that the buyer fetched and whose delivery is not recorded.
    """
    sale = locked(call.sale)
    if before := standing_call(sale):
        return before
    check(sale, Step.ANNOUNCE, at=at)
    facts = facts_of(sale)
    if facts.delivered_at is None and not sale.shipment.carrier:
        raise Refused(
            "It was handed over in the shop, so it cannot come back undelivered. Record the delivery first, then that "
            "it comes back.",
            code="handed-over",
        )
    since = facts.delivered_at or facts.shipped_at
    if since is None or not since <= call.said_at <= at:
        begins = "the delivery" if facts.delivered_at else "the day it was sent"
        raise Refused(
            f"The word of a return must lie between {begins} and now. Check the date and time.",
            code="return-out-of-order",
        )
    if facts.approval_until and call.said_at >= facts.approval_until and not call.late_reason:
        raise Refused(
            "The approval period was over by then. Write why it is taken back though late.", code="too-late"
        )
    call.by, call.at = by, at
    call.save()
    record(sale, "comes back", by=by, at=at, field="return", new=call.why)
    settled(sale, at=at)
    return call


@transaction.atomic
def drop(sale: Sale, *, why: str, by: User | None, at: datetime) -> None:
    """The buyer keeps it after all, or it goes on to the buyer; the approval period is what it was."""
    sale = locked(sale)
    check(sale, Step.KEEP, at=at)
    call = standing_call(sale)
    assert call is not None, "the table of steps lets only a return that was announced be dropped"  # noqa: S101
    ReturnDropped.objects.create(call=call, why=why, by=by, at=at)
    record(sale, "kept after all", by=by, at=at, field="return", new=why)
    settled(sale, at=at)


@transaction.atomic
def inspect(
    inspection: Inspection, lines: Sequence[InspectionLine], *, by: User | None, at: datetime
) -> Inspection:
    """It is back and was compared, line by line. `inspection` and `lines` are filled but unsaved.

    The verdict follows from the lines; a piece that differs is off the public side, and promised to nobody, until it
    is published again. Raises Refused for an instant out of order, or without a line.
    """
    sale = locked(inspection.sale)
    if before := Inspection.objects.filter(sale=sale).first():
        return before
    check(sale, Step.INSPECT, at=at)
    call = standing_call(sale)
    if call is None or not call.said_at <= inspection.came_at <= at:
        raise Refused(
            "It came back between the word of its return and now. Check the date and time.",
            code="return-out-of-order",
        )
    if not lines:
        raise Refused(
            "Nothing was compared. Answer at least one line of the record or one view.",
            code="nothing-compared",
        )
    alike = all(line.alike for line in lines)
    inspection.verdict = Inspection.Verdict.AS_SENT if alike else Inspection.Verdict.DIFFERS
    inspection.by, inspection.at = by, at
    inspection.save()
    for line in lines:
        line.inspection = inspection
        line.save()
    record(sale, "looked at", by=by, at=at, field="return", new=inspection.get_verdict_display())
    if not alike:
        _off_the_listing(sale, by=by, at=at)
    settled(sale, at=at)
    return inspection


def _off_the_listing(sale: Sale, *, by: User | None, at: datetime) -> None:
    """What its listing says of it is not so any more: it is a draft until somebody has gone through its record, and
    whoever waited is to be told."""
    end_queue(sale.instrument, by=by, at=at, reason=NOT_AS_SENT)
    piece = Instrument.objects.get(pk=sale.instrument_id)
    if piece.state == Instrument.State.LISTED:
        move(piece, [Instrument.State.LISTED], Instrument.State.DRAFT, by=by, at=at)
