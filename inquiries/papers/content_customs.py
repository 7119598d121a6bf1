"""A commercial invoice for customs: code by age, materials with scientific names, price paid, why it goes."""

from datetime import date
from typing import Any

from catalog.materials.models import PartMaterial
from inquiries.borders.queries import rules_in_use, shipment_of
from inquiries.borders.rules import Line, Verdict, check, crosses_customs
from inquiries.papers.content_common import (
    Content,
    Matter,
    Row,
    money,
    numbers_of,
    piece,
    price_line,
)
from inquiries.papers.content_packing import consignee, parcel_facts
from inquiries.people.places import country_name
from inquiries.sales.queries import price_charged
from inquiries.shipping.destination import collected, country_of
from inquiries.shipping.models import Shipment
from shop.refusal import Refused

CODE = "Customs code "
# Of the kinds of goods that the rules of borders know: the one that is said unless the form says another.
INSTRUMENT = "fretted"
NOT_KNOWN = "Not known"


def customs(matter: Matter) -> Content:
    """What stands on it. Refused where it crosses no border, has no price, or its code is not settled.

    The value for customs is what was charged for the piece. Source: Regulation (EU) No 952/2013, art. 70: the price
    actually paid or payable (from memory). What it is insured for with the carrier is another matter.
    """
    sale, shop, given = matter.sold, matter.shop, matter.given
    country = country_of(sale) or shop.country
    if country == shop.country:
        raise Refused(
            f"It stays in {country_name(country)}, by the address it goes to, so customs asks for no paper. "
            "Write the buyer’s country first if that is wrong.",
            code="no-border",
        )
    _refuse_inside_the_union(shop.country, country)
    shipment = getattr(sale, "shipment", None)
    if collected(sale):
        raise Refused("It was handed over in the shop, so the shop sends nothing abroad.", code="handed-over")
    value = price_charged(sale.rows.all())
    if value <= 0:
        raise Refused("No price is charged for it, so no value can be given.", code="no-value")
    to = consignee("Buyer and consignee", matter, shipment)
    other = to["name"] != matter.contact.name
    if other:
        to["label"] = "Consignee"
    code = _code(matter, country)
    materials = _materials(matter)
    return {
        "to": to,
        "piece": piece("Goods", matter),
        "journey": [
            ["From", country_name(shop.country)],
            ["To", country_name(country)],
            ["Why it goes", given["reason"]],
            *([["Buyer", matter.contact.name]] if other else []),
            *[[name, told] for name, told in (parcel_facts(shipment) if shipment else []) if told],
            *_insured(shipment),
        ],
        "lines": [price_line(matter, value, sale.currency)],
        "sums": [["Currency", sale.currency], ["In all", money(value, sale.currency)]],
        "facts": [
            ["Customs code", code.law.removeprefix(CODE)],
            ["What the code is for", code.says],
            ["Country of origin", given.get("origin") or NOT_KNOWN],
            ["Made", matter.listing.card.made or NOT_KNOWN],
            ["Used", "Yes: an old instrument, not new"],
            ["Number", "; ".join(numbers_of(matter)) or "None found on it"],
        ],
        "materials": materials,
        "on_materials": _on_materials(materials),
        "declaration": (
            "To the best of our knowledge what stands on this paper is true and complete. It is taken from the "
            "shop’s record of the instrument."
        ),
    }


def _insured(shipment: Shipment | None) -> list[Row]:
    """What was declared to the carrier."""
    if shipment is None or not shipment.declared_value:
        return []
    return [["Declared to the carrier", money(shipment.declared_value, shipment.currency)]]


def _refuse_inside_the_union(leaving: str, entering: str) -> None:
    if crosses_customs(leaving, entering):
        return
    raise Refused(
        f"{country_name(leaving)} and {country_name(entering)} are both in the European Union, which has no customs "
        "border inside, so customs asks for no paper.",
        code="inside-the-union",
    )


def codes_for(
    instrument: Any, *, leaving: str, entering: str, on: date, goods: str = INSTRUMENT
) -> list[Line]:
    """The customs codes that may be right for a kind of goods, by the dated rules; one alone where it is sure."""
    sent = shipment_of(instrument, on=on, leaving=leaving, entering=entering, goods=goods, purpose="sale")
    lines = [line for line in check(rules_in_use(), sent) if line.law.startswith(CODE)]
    sure = [line for line in lines if line.verdict == Verdict.CLASS]
    return sure or [line for line in lines if line.verdict == Verdict.ASK]


def _code(matter: Matter, country: str) -> Line:
    goods = matter.given.get("goods") or INSTRUMENT
    found = codes_for(
        matter.instrument, leaving=matter.shop.country, entering=country, on=matter.today, goods=goods
    )
    if not found:
        raise Refused(
            "No rule in use gives a customs code for it. Add one under “Borders”, with its source.",
            code="no-code",
        )
    chosen = matter.given.get("code", "")
    named = [line for line in found if line.law.removeprefix(CODE) == chosen]
    codes = " or ".join(line.law.removeprefix(CODE) for line in found)
    if chosen and not named:
        raise Refused(not_among(chosen, codes), code="code-not-found")
    if named or len(found) == 1:
        return (named or found)[0]
    raise Refused(
        f"By its date of make the customs code may be {codes}. Ask the authority, and choose the code here.",
        code="code-open",
    )


def not_among(chosen: str, codes: str) -> str:
    """What is said of a code that the rules do not give for such goods."""
    return f"{chosen} is no code that the rules give for these goods, made when they were. They give {codes}."


def _materials(matter: Matter) -> list[Row]:
    rows = PartMaterial.objects.filter(instrument=matter.instrument).select_related("part", "material")
    return [
        [
            row.part.name,
            row.material.name,
            " or ".join(row.material.can_be) or ("Species not known" if _alive(row) else ""),
            row.get_origin_display(),
        ]
        for row in rows
    ]


def _alive(row: PartMaterial) -> bool:
    return row.material.sort != row.material.Sort.OTHER


def _on_materials(materials: list[Row]) -> list[str]:
    if not materials:
        return ["The record names no materials: they are not known."]
    return ["Names and origins as far as the record has them; permits, where needed, go with the parcel."]
