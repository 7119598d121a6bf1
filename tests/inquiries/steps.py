"""Steps of a sale by its deeds, for tests that begin further on."""

import uuid
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from catalog.models import Instrument
from inquiries.models import (
    Hold,
    Inquiry,
    Inspection,
    InspectionLine,
    LedgerRow,
    Message,
    ReturnCall,
    Sale,
    Shipment,
)
from inquiries.returns.actions import announce, inspect
from inquiries.sales import actions
from inquiries.sales.hold_actions import place_hold
from inquiries.sales.queries import awaits_clearing, with_rows
from inquiries.threads import turns
from tests.factories import NOON, InquiryFactory

MINUTE = timedelta(minutes=1)


def entry() -> str:
    """The token of one press."""
    return uuid.uuid4().hex


def received(amount: str, method: str = LedgerRow.Method.WIRE) -> actions.Received:
    """Money received."""
    return actions.Received(Decimal(amount), method, entry())


def ask(inquiry: Inquiry, *, at: datetime, ours: bool = False, **fields: Any) -> Message:
    """One thing said."""
    message = Message.objects.create(
        inquiry=inquiry,
        ours=ours,
        at=at,
        message_id=f"<{entry()}@post.example>",
        **{"channel": Message.Channel.FORM, "body": "Is it still there?"} | fields,
    )
    turns.settle(inquiry)
    return message


def held(instrument: Instrument | None = None, *, at: datetime = NOON, **fields: Any) -> Hold:
    """A hold by a new inquirer."""
    if instrument is not None:
        fields["instrument"] = instrument
    inquiry = InquiryFactory(**fields)
    return place_hold(inquiry.instrument, inquiry, by=None, at=at)


def opened(
    *,
    price: str = "12500.00",
    deposit: str = "2500.00",
    shipping: str = "0",
    at: datetime = NOON,
    **fields: Any,
) -> Sale:
    """A sale with its deposit."""
    hold = held(at=at, **fields)
    return actions.open_sale(
        hold, price=Decimal(price), shipping=Decimal(shipping), money=received(deposit), by=None, at=at
    )


def fresh(sale: Sale) -> Sale:
    """The sale as it stands now."""
    return Sale.objects.get(pk=sale.pk)


def cleared(sale: Sale, *, at: datetime = NOON) -> Sale:
    """The bank has made all of its money final."""
    for row in with_rows(Sale.objects.all()).get(pk=sale.pk).rows.all():
        if awaits_clearing(row):
            actions.mark_cleared(row, by=None, at=at)
    return fresh(sale)


def settle(sale: Sale, *, at: datetime) -> Sale:
    """Pay the balance in cash, and clear what came before."""
    balance = sum((row.amount for row in sale.rows.all()), Decimal(0))
    if balance:
        actions.record_payment(sale, received(str(balance), LedgerRow.Method.CASH), by=None, at=at)
    return cleared(sale, at=at)


def sent(sale: Sale, *, at: datetime) -> Sale:
    """Settle it and send it."""
    parcel = Shipment(carrier="Mule Train", unpictured_reason="The camera was at the mender")
    actions.ship(settle(sale, at=at), parcel, by=None, at=at)
    return fresh(sale)


def delivered(sale: Sale, *, at: datetime) -> Sale:
    """Send it and record that the buyer had it a minute later."""
    actions.deliver(sent(sale, at=at), delivered_at=at + MINUTE, note="", by=None, at=at + MINUTE)
    return fresh(sale)


def back(sale: Sale, *, at: datetime, differs: str = "") -> Sale:
    """The buyer said a minute before `at` that it comes back, and it was looked at then."""
    call = ReturnCall(sale=sale, said_at=at - MINUTE, why="The neck does not suit", late_reason="Agreed")
    announce(call, by=None, at=at)
    line = InspectionLine(what="Neck", alike=not differs, note=differs)
    inspect(Inspection(sale=sale, came_at=at), [line], by=None, at=at)
    return fresh(sale)


def closed(*, at: datetime = NOON, **fields: Any) -> Sale:
    """A sale closed at `at`, opened four days before."""
    sale = delivered(opened(at=at - timedelta(days=4), **fields), at=at - timedelta(days=3))
    return actions.close_sale(sale, by=None, at=at)
