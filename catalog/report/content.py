"""What stands on a report: drawn from the listing's plain values alone, so nothing private can come into it."""

from datetime import date
from typing import Any

from catalog.instruments.availability import Availability
from catalog.public.shown.listing import Listing
from catalog.public.shown.pictures import Picture
from catalog.public.shown.wording import lowered
from catalog.report.rules import Room
from catalog.report.sections import SECTIONS
from catalog.report.sheet import Block, Sheet
from shop.profile.models import ShopProfile

CLOSING = (
    "This report says what was found on the day it was made. Each statement follows from the record of the "
    "instrument; a part that is not named here was not examined."
)


def content(
    listing: Listing,
    *,
    shop: ShopProfile,
    day: date,
    address: str,
    room: Room,
    prints: dict[Picture, str],
) -> dict[str, Any]:
    """All that is printed. `address` is the public page's, empty for a draft; `prints` are the pictures there are."""
    pictures, numbers, further = _pictures(listing, prints, room)
    sheet = Sheet(room, numbers, shop.guarantee)
    if further:
        sheet.without(f"{further} further {'photograph' if further == 1 else 'photographs'}")
    return {
        "type": room.type,
        "day": [day.year, day.month, day.day],
        "made": f"{day:%-d %B %Y}",
        "document": f"Report on condition and originality: No. {listing.card.stock}, {listing.title}",
        "shop": {
            "name": shop.name,
            "address": shop.address,
            "telephone": shop.telephone,
            "email": shop.email,
        },
        "number": str(listing.card.stock),
        "setout": listing.card.setout,
        "title": listing.title,
        "standing": _standing(listing),
        **_opening(listing, sheet),
        "sections": _sections(listing, sheet),
        "lead": pictures[0] if pictures else None,
        "pictures": pictures[1:],
        "closing": CLOSING,
        "left_out": _left_out(sheet, address),
    }


def _standing(listing: Listing) -> str:
    if listing.card.state == Availability.NOT_LISTED:
        return "A draft: this piece is not public now, and its record may still change."
    return ""


def _left_out(sheet: Sheet, address: str) -> str:
    if not sheet.left_out:
        return ""
    where = f"stands in full at {address}" if address else "stands in full in the shop’s record"
    return f"Left out here for want of room: {'; '.join(sheet.left_out)}. It {where}."


def _opening(listing: Listing, sheet: Sheet) -> Block:
    found = listing.originality
    examined = f"{found.examined} of {found.parts} parts examined" if found.parts else ""
    more = f"; {found.never_fitted} more never fitted" if found.never_fitted else ""
    return {
        "word": found.says,
        "meaning": found.meaning if found.examined else "",
        "examined": f"{examined}{more}",
        "facts": sheet.facts(_facts(listing), "what it is"),
    }


def _facts(listing: Listing) -> list[tuple[str, str, str]]:
    known = [
        ("Kind", listing.kind, ""),
        ("Maker", listing.maker, f"({listing.maker_of})" if listing.maker_of else ""),
        ("Model", listing.model, ""),
        ("Made", listing.card.made, ""),
        ("Condition", listing.grade, ""),
        ("Configuration as made", listing.made_as, ""),
        ("Configuration as it stands", listing.stands_as, "converted" if listing.converted else ""),
    ]
    numbers = [
        (what, value, f"{where}, {lowered(legibility)}") for what, value, where, legibility in listing.numbers
    ]
    measured = [(name, shown, "") for name, shown in listing.measurements]
    return [row for row in known if row[1]] + numbers + measured


def _sections(listing: Listing, sheet: Sheet) -> list[Block]:
    filled = [(title, wide, fill(listing, sheet)) for title, wide, fill in SECTIONS]
    return [{"title": title, "wide": wide, "blocks": blocks} for title, wide, blocks in filled if blocks]


def _pictures(
    listing: Listing, prints: dict[Picture, str], room: Room
) -> tuple[list[Block], dict[str, int], int]:
    """The lead picture and further ones, their numbers by their anchors on the page, and how many are left out."""
    there = [(place, picture) for place, picture in enumerate(listing.pictures) if picture in prints]
    kept = there[: 1 + room.pictures]
    numbers = {f"picture-{place}": number for number, (place, _) in enumerate(kept, start=1)}
    pictures = [_picture(picture, prints[picture], number) for number, (_, picture) in enumerate(kept, 1)]
    return pictures, numbers, len(there) - len(kept)


def _picture(picture: Picture, path: str, number: int) -> Block:
    said = ": ".join(filter(None, [picture.view, picture.caption])) or picture.alt
    return {
        "path": path,
        "alt": said,
        "caption": f"{number}. {said}",
        "ratio": picture.width / picture.height,
    }
