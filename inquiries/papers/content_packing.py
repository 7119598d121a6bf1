"""A packing list: what lies in the carton, its size and its weight. No amount stands on it."""

from inquiries.papers.content_common import Content, Matter, Row, addressed, piece
from inquiries.shipping.models import Shipment
from shop.refusal import Refused
from shop.units import Mass


def packing(matter: Matter) -> Content:
    """What stands on it. Refused until the parcel is recorded, and for a piece that was handed over."""
    shipment = shipment_of(matter)
    listing = matter.listing
    rows: list[Row] = [[f"{listing.kind}: {listing.title}\nNo. {matter.instrument.stock_id}", "1"]]
    rows += [[what, "1"] for what in listing.included]
    kept = listing.originality.conversion.kept if listing.originality.conversion else _kept(matter)
    rows += [[f"Original part that comes with it: {what}", "1"] for what in kept]
    return {
        "to": consignee("Sent to", matter, shipment),
        "piece": piece("Holds", matter),
        "rows": rows,
        "facts": [[name, value] for name, value in parcel_facts(shipment) if value],
    }


def consignee(label: str, matter: Matter, shipment: Shipment | None) -> Content:
    """Whom the parcel goes to: by its own address, which mostly begins with a name, once there is one.

    A first line is a name when it is the buyer's, or when it has no figure and stands not in the buyer's own address
    as a house with a name may. Common practice, no source.
    """
    to = addressed(label, matter)
    if shipment is None or not shipment.address:
        return to
    first, _, rest = shipment.address.partition("\n")
    own = {line.strip().casefold() for line in matter.contact.address.splitlines()}
    numbered = any(sign.isdigit() for sign in first)
    if first.strip().casefold() == matter.contact.name.casefold():
        return to | {"address": rest}
    if rest and not numbered and first.strip().casefold() not in own:
        return to | {"name": first.strip(), "address": rest}
    return to | {"address": shipment.address}


def shipment_of(matter: Matter) -> Shipment:
    """The parcel that was recorded."""
    shipment: Shipment | None = getattr(matter.sold, "shipment", None)
    if shipment is None:
        raise Refused(
            "No parcel is recorded yet. Record it first: its carton, weight and carrier.", code="no-parcel"
        )
    if not shipment.carrier:
        raise Refused("It was handed over in person, so there is no parcel to list.", code="no-parcel")
    return shipment


def parcel_facts(shipment: Shipment) -> list[tuple[str, str]]:
    """Carrier, carton and weight; empty where nobody wrote it down."""
    carton = " × ".join(str(side) for side in shipment.sides or ())
    mass = shipment.weight_amount
    weight = str(Mass.from_stored(mass, shipment.weight_unit)) if mass is not None else ""
    asked = shipment.signature != Shipment.Signature.NONE
    return [
        ("Carrier", f"{shipment.carrier} {shipment.service}".strip()),
        ("Tracking number", shipment.tracking),
        ("Cartons", "1"),
        ("Carton, outside", carton or "Not measured"),
        ("Weight, packed", weight or "Not weighed"),
        ("Signature asked for", shipment.get_signature_display() if asked else ""),
    ]


def _kept(matter: Matter) -> list[str]:
    """Original parts that lie by, of an instrument that was not converted."""
    return [
        row.part.name.lower() + (f", {row.original_where}" if row.original_where else "")
        for row in matter.instrument.findings.all()
        if row.original_kept
    ]
