"""What must be written down before a piece leaves, and what becomes of it when the sale of a lost parcel ends."""

from datetime import datetime

from catalog.models import Instrument
from catalog.publishing.actions import withdraw
from inquiries.sales.hold_actions import end_queue, resume_queue
from inquiries.sales.models import Sale
from inquiries.shipping.destination import keep_destination
from inquiries.shipping.leaving_rules import (
    NO_NUMBER,
    NO_PICTURE,
    WHO_CAME,
    names_a_number,
    over_limit,
    says_over,
)
from inquiries.shipping.models import Loss, Shipment
from shop.money import Money
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

LOST = "Lost on the way to another buyer"


def insured_limit(sale: Sale) -> Money | None:
    """The highest value that the shop's own policy insures for one parcel, by the terms the sale was opened under."""
    limit = sale.terms.declared_limit
    return None if limit is None else Money(limit, the_shop().currency)


def check_leaving(shipment: Shipment) -> None:
    """Raise Refused for what has still to be written down of a shipment that is filled but not saved.

    A parcel without an address of its own bears the buyer's.
    """
    keep_destination(shipment)
    if not shipment.carrier:
        _check_collected(shipment)
        return
    if not shipment.unpictured_reason and not shipment.sale.parcel_pictures.exists():
        raise Refused(NO_PICTURE, code="no-photograph")
    declared, limit = shipment.declared_value, insured_limit(shipment.sale)
    if declared is None or limit is None or shipment.limit_reason:
        return
    if over_limit(Money(declared, shipment.currency), limit):
        raise Refused(says_over(Money(declared, shipment.currency), limit), code="over-limit")


def _check_collected(shipment: Shipment) -> None:
    if not shipment.collected_by or not shipment.identity:
        raise Refused(WHO_CAME, code="who-came")
    if names_a_number(shipment.identity):
        raise Refused(NO_NUMBER, code="number-of-a-paper")
    shipment.handed_by = shipment.handed_by or shipment.by


def after_the_end(sale: Sale, *, by: User | None, at: datetime) -> None:
    """Whoever waits moves up; of a parcel that was lost, the queue ends and the piece is taken off the public side."""
    if not Loss.objects.filter(shipment__sale=sale, shipment__delivery__isnull=True).exists():
        resume_queue(sale.instrument, at=at)
        return
    end_queue(sale.instrument, by=by, at=at, reason=LOST)
    piece = Instrument.objects.get(pk=sale.instrument_id)
    if piece.state == Instrument.State.LISTED:
        withdraw(piece, by=by, at=at)
