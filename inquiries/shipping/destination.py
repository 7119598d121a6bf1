"""Where the piece of a sale goes: where its parcel went, and until one has gone, where the buyer is.

A parcel is a fact, so the buyer may move, or be erased, and what was sold before is taxed as it was.
"""

from inquiries.people.places import envelope
from inquiries.sales.models import Sale
from inquiries.shipping.models import Shipment
from shop.profile.queries import the_shop


def collected(sale: Sale) -> bool:
    """Whether it was handed over in the shop."""
    shipment = getattr(sale, "shipment", None)
    return shipment is not None and not shipment.carrier


def parcel_of(sale: Sale) -> Shipment | None:
    """The parcel, once a carrier has it."""
    return None if collected(sale) else getattr(sale, "shipment", None)


def country_of(sale: Sale) -> str:
    """The country it goes to, in two letters; empty where nobody has written one, which is the shop’s."""
    parcel = parcel_of(sale)
    return (parcel.country if parcel else "") or sale.contact.country


def keep_destination(shipment: Shipment) -> None:
    """Write the buyer's address on a parcel for which no other was given, before it is saved."""
    if not shipment.carrier:
        return
    buyer, home = shipment.sale.contact, the_shop().country
    if buyer.address and not shipment.address and shipment.country in ("", buyer.country):
        lines = envelope(buyer.address, buyer.country or home, at=home)
        shipment.address = "\n".join(lines)
    shipment.country = shipment.country or buyer.country or home
