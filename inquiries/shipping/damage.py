"""Until when damage on the way is to be reported, by the terms a sale was opened under."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from inquiries.sales.models import Sale
from inquiries.shipping.clock_rules import damage_until
from inquiries.shipping.models import Delivery
from shop.profile.queries import the_shop


@dataclass(frozen=True)
class Damage:
    """The days that the house policy names, None where it names none; the instant they end, and their last day."""

    days: int | None
    until: datetime | None
    last: date | None
    over: bool

    @property
    def said(self) -> str:
        """The last day in words."""
        return f"{self.last:%-d %B %Y}" if self.last else ""


def damage_of(sale: Sale, delivery: Delivery, *, at: datetime) -> Damage:
    """What holds for a parcel that was delivered."""
    days = sale.terms.damage_days
    if not days:
        return Damage(None, None, None, over=False)
    zone = ZoneInfo(delivery.zone or the_shop().time_zone)
    until = damage_until(delivery.at, days, zone)
    last = (until.astimezone(zone) - timedelta(microseconds=1)).date()
    return Damage(days, until, last, over=at >= until)


def damage_waits(sale: Sale, *, at: datetime) -> Damage | None:
    """The days of a parcel of an open sale that have not gone by; None for none."""
    shipment = getattr(sale, "shipment", None)
    delivery = getattr(shipment, "delivery", None)
    if sale.ended_at or shipment is None or delivery is None or not shipment.carrier:
        return None
    found = damage_of(sale, delivery, at=at)
    return found if found.until and not found.over else None
