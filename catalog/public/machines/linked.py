"""A page as linked data in the words of schema.org (JSON-LD 1.1), drawn from the plain values of the page alone.

The end of a hold is between the shop and whoever holds, so no offer has an end.
"""

from collections.abc import Callable, Iterable
from typing import Any

from catalog.instruments.availability import Availability
from catalog.public.shown.bare import Measured
from catalog.public.shown.listing import Listing
from catalog.public.shown.wording import shortened
from shop.profile.models import ShopProfile
from shop.wording import gettext as _

Absolute = Callable[[str], str]  # a path of the site as a whole address
Values = dict[str, Any]

VOCABULARY = "https://schema.org"
MOST_OF_THE_STORY = 600  # characters; the page has it all
AVAILABILITY = {
    Availability.AVAILABLE: "InStock",
    Availability.ON_HOLD: "Reserved",
    Availability.SOLD: "SoldOut",
}
USED = f"{VOCABULARY}/UsedCondition"


def of_listing(
    listing: Listing, trail: Iterable[tuple[str, str]], *, shop: ShopProfile, at: Absolute
) -> Values:
    """One piece, what is asked for it, and the way to its page."""
    return _graph(piece(listing, shop=shop, at=at), way(trail, at=at))


def of_place(trail: Iterable[tuple[str, str]], *, at: Absolute) -> Values:
    """The way to a page that is no piece."""
    return _graph(way(trail, at=at))


def of_shop(shop: ShopProfile, *, at: Absolute) -> Values:
    """The shop itself."""
    known = {"description": shop.tagline, "email": shop.email, "telephone": shop.telephone}
    address = ", ".join(line.strip() for line in shop.address.splitlines() if line.strip())
    return _graph({**_seller(shop, at), **_said({**known, "address": address})})


def on_page(values: Values, *, address: str, language: str) -> Values:
    """Linked data with the page that says it: who reads it is told in which language."""
    things = values.get("@graph") or [{key: value for key, value in values.items() if key != "@context"}]
    return _graph(*things, {"@type": "WebPage", "url": address, "inLanguage": language})


def piece(listing: Listing, *, shop: ShopProfile, at: Absolute) -> Values:
    """The instrument as an IndividualProduct."""
    card, bare = listing.card, listing.bare
    known = {
        "description": shortened(listing.story, MOST_OF_THE_STORY),
        "category": listing.kind,
        "image": [at(picture.full) for picture in listing.pictures],
        "brand": {"@type": "Brand", "name": listing.maker} if listing.maker else None,
        "manufacturer": {"@type": "Organization", "name": listing.maker} if listing.maker else None,
        "model": listing.model,
        "serialNumber": bare.serial,
        "productionDate": "" if listing.dating.contradicts else bare.made_on,
        "additionalProperty": _properties(listing),
        "offers": _offer(listing, shop, at),
    }
    named = {"name": listing.title, "sku": str(card.stock), "url": at(card.address), "itemCondition": USED}
    return {"@type": "IndividualProduct", **named, **_said(known)}


def way(trail: Iterable[tuple[str, str]], *, at: Absolute) -> Values:
    """The pages from the front to this one: (name, path) of each."""
    steps = [
        {"@type": "ListItem", "position": place, "name": name, "item": {"@id": at(path)}}
        for place, (name, path) in enumerate(trail, 1)
    ]
    return {"@type": "BreadcrumbList", "itemListElement": steps}


def _graph(*things: Values) -> Values:
    if len(things) == 1:
        return {"@context": VOCABULARY, **things[0]}
    return {"@context": VOCABULARY, "@graph": list(things)}


def _said(known: Values) -> Values:
    """Without what is not known."""
    return {name: value for name, value in known.items() if value}


def _seller(shop: ShopProfile, at: Absolute) -> Values:
    return {"@type": "Organization", "name": shop.name, "url": at("/")}


def _offer(listing: Listing, shop: ShopProfile, at: Absolute) -> Values | None:
    word = AVAILABILITY.get(Availability(listing.card.state))
    if word is None:
        return None
    offer = {"@type": "Offer", "availability": f"{VOCABULARY}/{word}", "itemCondition": USED}
    if listing.bare.price:
        offer |= {"price": listing.bare.price, "priceCurrency": listing.bare.currency}
    return {**offer, "url": at(listing.card.address), "seller": _seller(shop, at)}


def _properties(listing: Listing) -> list[Values]:
    """The date as EDTF, what is original, how it is set out, and every measurement."""
    texts = {
        _("Date of make"): listing.card.made,
        _("Date of make, EDTF"): listing.bare.edtf,
        _("Originality"): listing.originality.says,
        _("Condition"): listing.grade,
        _("Configuration as made"): listing.made_as,
        _("Configuration as it stands"): listing.stands_as,
    }
    found = [_property(name, text) for name, text in texts.items() if text]
    found += [_property(row.what, row.value) | {"description": row.where} for row in listing.bare.numbers]
    return found + [_of_measure(row) for row in listing.bare.measured]


def _of_measure(row: Measured) -> Values:
    if row.number is None:
        return _property(row.name, row.word)
    number = int(row.number) if row.number == int(row.number) else float(row.number)
    return _property(row.name, number) | _said({"unitCode": row.unit})


def _property(name: str, value: object) -> Values:
    return {"@type": "PropertyValue", "name": name, "value": value}
