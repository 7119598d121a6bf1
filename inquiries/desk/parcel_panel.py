"""What the page of a sale shows of the parcel: photographs before sealing, its figures, when it came, and what of it
is to be reported until when."""

from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple

from django import forms
from django.utils import timezone

from inquiries.desk.parcel_forms import Asked, DeliveredForm, LossForm, ParcelForm, PicturesForm
from inquiries.people.places import country_name, envelope
from inquiries.sales.models import Sale
from inquiries.sales.queries import facts_of, price_charged
from inquiries.sales.rules import SaleFacts, Step, allowed
from inquiries.shipping.damage import damage_of
from inquiries.shipping.destination import collected
from inquiries.shipping.leaving import insured_limit
from inquiries.shipping.leaving_rules import over_limit
from inquiries.shipping.models import Delivery, Shipment
from inquiries.shipping.queries import Panel, parcel_panel
from inquiries.shipping.zones import clock_in, proposed_zone
from shop.money import Money
from shop.profile.queries import the_shop
from shop.staff.models import User
from shop.templatetags.trade import moment
from shop.units import Mass

DAMAGE_ADVICE = (
    "The carton and all that was in it are kept as they are: the carrier may wish to see them.",
    "The buyer takes photographs at once: the carton from all sides, the packing, the damage, the label.",
    "If the carton looks damaged, that is written on the carrier’s receipt before anybody signs it.",
    "The buyer tells the shop the same day; whoever paid the carrier reports it there, with the photographs.",
)


class Fact(NamedTuple):
    """One line of what is known of a parcel."""

    name: str
    text: str
    lines: tuple[str, ...] = ()


def parcel_form(sale: Sale, data: Any, **options: Any) -> forms.Form:
    """The parcel as it is to be recorded, with the address of the buyer as it would go on the label."""
    shop, buyer = the_shop(), sale.contact
    asked = Asked(
        currency=sale.currency,
        carriers=shop.carrier_names,
        uncleared=bool(facts_of(sale).uncleared),
        limit=insured_limit(sale),
        unpictured=not sale.parcel_pictures.all(),
        home=shop.country,
        staff=User.objects.filter(is_active=True).order_by("first_name", "username"),
    )
    lines = envelope(buyer.address, buyer.country or shop.country, at=shop.country)
    initial = {
        "declared_value": price_charged(sale.rows.all()),
        "address": "\n".join([buyer.name, *lines]) if lines else "",
        "country": buyer.country or (shop.country if lines else ""),
        "signature": Shipment.Signature.BUYER,
    }
    return ParcelForm(data, asked=asked, initial=initial, **options)


def delivered_form(sale: Sale, data: Any, **options: Any) -> forms.Form:
    """When the buyer had it; the zone that is proposed is that of the place it was sent to."""
    shipment = getattr(sale, "shipment", None)
    country, zone = _where(sale, shipment)
    return DeliveredForm(
        data,
        shipped_at=shipment.at if shipment else None,
        country=country,
        zone=zone,
        at=timezone.now(),
        **options,
    )


def _where(sale: Sale, shipment: Shipment | None) -> tuple[str, str]:
    shop = the_shop()
    if collected(sale):
        return shop.country, shop.time_zone
    sent = shipment is not None and shipment.country
    country = shipment.country if shipment and sent else sale.contact.country
    address = shipment.address if shipment and sent else sale.contact.address
    return country, proposed_zone(country, address, shop=shop.time_zone)


def loss_form(sale: Sale, data: Any, **options: Any) -> forms.Form:
    """What the carrier says of a parcel that is lost."""
    return LossForm(data, **options)


def before_sealing(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any] | None:
    """The photographs there are, and a place to send more while the carton can still be open."""
    pictures = list(sale.parcel_pictures.select_related("by"))
    open_still = allowed(Step.PICTURE, facts, at=at)
    if not pictures and not (open_still and facts.balance <= 0):
        return None
    return {
        "parcel_pictures": pictures,
        "pictures_form": PicturesForm(auto_id="id_pictures_%s") if open_still else None,
    }


def parcel(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any] | None:
    """What is known of a parcel that went, or of a piece that was fetched."""
    shipment = getattr(sale, "shipment", None)
    if shipment is None:
        return None
    delivery = getattr(shipment, "delivery", None)
    return {
        "parcel": parcel_facts(shipment, insured_limit(sale)),
        "arrived": _arrived(delivery, facts) if delivery else [],
        "damage": damage_of(sale, delivery, at=at) if delivery and shipment.carrier else None,
        "damage_advice": DAMAGE_ADVICE,
        "loss": getattr(shipment, "loss", None),
    }


def parcel_facts(shipment: Shipment, limit: Money | None = None) -> list[Fact]:
    """What is written down of it, line by line."""
    mass, declared = shipment.weight_amount, shipment.declared_value
    facts = [
        Fact("Carrier", f"{shipment.carrier} {shipment.service}".strip() or "Collected in person"),
        Fact("Who came for it", shipment.collected_by),
        Fact("Known by", shipment.identity),
        Fact("Handed over by", str(shipment.handed_by or "")),
        Fact("Tracking number", shipment.tracking),
        Fact("Sent to", "", tuple(shipment.address.splitlines())),
        Fact("Country", country_name(shipment.country) if shipment.country else ""),
        Fact("Signature asked for", shipment.get_signature_display() if shipment.carrier else ""),
        Fact("Carton", " × ".join(str(side) for side in shipment.sides or ())),
        Fact("Weight", str(Mass.from_stored(mass, shipment.weight_unit)) if mass is not None else ""),
        Fact("Declared value", _declared(shipment, limit) if declared else ""),
        Fact("Above the insured value because", shipment.limit_reason),
        Fact("No photograph because", shipment.unpictured_reason),
        Fact("Left before the money cleared", shipment.uncleared_reason),
    ]
    return [fact for fact in facts if fact.text or fact.lines]


def _declared(shipment: Shipment, limit: Money | None) -> str:
    declared = Money(shipment.declared_value or Decimal(0), shipment.currency)
    if limit is None:
        return f"{declared}; no limit of your own policy is written down"
    if limit.currency != declared.currency:
        return f"{declared}; your own policy’s limit, {limit}, is in another currency and was not compared"
    return (
        f"{declared}, {'above' if over_limit(declared, limit) else 'within'} the {limit} of your own policy"
    )


def _arrived(delivery: Delivery, facts: SaleFacts) -> list[Fact]:
    noted = f"; noted by {delivery.by}" if delivery.by else ""
    found = [
        Fact("Delivered", "", (*both(delivery.at, delivery), f"{delivery.note}{noted}".strip("; "))),
        Fact("Signed by", delivery.signed_by),
    ]
    if facts.approval_until:
        hours = f"{facts.approval_hours} hours from the delivery"
        found.append(Fact("Approval until", "", (*both(facts.approval_until, delivery), hours)))
    return [
        Fact(one.name, one.text, tuple(filter(None, one.lines))) for one in found if one.text or one.lines
    ]


def both(instant: datetime, delivery: Delivery) -> tuple[str, ...]:
    """An instant on the clock of the buyer and on the shop's; once where they are one."""
    shop = the_shop()
    if not delivery.zone or delivery.zone == shop.time_zone:
        return (moment(instant),)
    return (clock_in(instant, delivery.zone), f"{moment(instant)} in the shop")


def figures_for(sale: Sale, form: forms.Form | None, *, at: datetime) -> Panel | None:
    """The figures of the parcel that went, or of the one that was typed; by the rule of its day on the shop's clock."""
    shipment = getattr(sale, "shipment", None)
    if shipment is None and isinstance(form, ParcelForm) and form.is_bound:
        shipment = form.typed()
    left = (shipment.at if shipment else None) or at
    return parcel_panel(shipment, currency=sale.currency, day=left.astimezone(the_shop().zone).date())
