"""What stands on a report: drawn from the listing's plain values alone, so nothing private can come into it.

A section is one function from a listing to blocks; a new part of the listing becomes a new function in SECTIONS.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from catalog.instruments.availability import Availability
from catalog.public.shown.listing import Listing
from catalog.public.shown.pictures import Picture
from catalog.public.shown.wording import lowered, shortened
from catalog.report.rules import Room
from shop.profile.models import ShopProfile

Block = dict[str, Any]
CLOSING = (
    "This report says what was found on the day it was made. Each statement follows from the record of the "
    "instrument; a part that is not named here was not examined."
)


@dataclass
class Sheet:
    """The paper while it is filled: how much room there is, and what had to be left out."""

    room: Room
    left_out: list[str] = field(default_factory=list)

    def text(self, text: str, of: str) -> str:
        """The text, shortened when it must be."""
        kept = shortened(text, self.room.text)
        if kept != text.strip():
            self._note(f"the rest of “{of}”")
        return kept

    def rows(self, rows: Iterable[Any], of: str) -> list[Any]:
        """The rows, fewer when they must be."""
        found = list(rows)
        if len(found) > self.room.rows:
            self._note(f"{len(found) - self.room.rows} lines of “{of}”")
        return found[: self.room.rows]

    def without(self, what: str) -> None:
        """Note that something was left out."""
        self._note(what)

    def _note(self, what: str) -> None:
        if what not in self.left_out:
            self.left_out.append(what)


Section = Callable[[Listing, Sheet], list[Block]]


def content(
    listing: Listing,
    *,
    shop: ShopProfile,
    day: date,
    address: str,
    room: Room,
    prints: "dict[Picture, str]",
) -> dict[str, Any]:
    """All that is printed. `address` is the public page's, empty for a draft; `prints` are the pictures there are."""
    sheet = Sheet(room)
    lead, further = _pictures(listing, prints, sheet)
    filled = {
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
        "lead": lead,
        "sections": _sections(listing, sheet),
        "pictures": further,
        "closing": CLOSING,
    }
    return {**filled, "left_out": _left_out(sheet, address)}


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
    many = f"{found.examined} of {found.parts} parts examined" if found.parts else ""
    return {
        "word": found.says,
        "examined": [many] if many else [],
        "exceptions": [],
        "facts": sheet.rows(_facts(listing), "facts"),
    }


def _facts(listing: Listing) -> list[list[str]]:
    maker_of = f"({listing.maker_of})" if listing.maker_of else ""
    known = [
        ["Kind", listing.kind, ""],
        ["Maker", listing.maker, maker_of],
        ["Model", listing.model, ""],
        ["Made", listing.card.made, ""],
        ["Condition", listing.grade, ""],
        ["Configuration as made", listing.made_as, ""],
        ["Configuration as it stands", listing.stands_as, "converted" if listing.converted else ""],
    ]
    numbers = [
        [what, value, f"{where}, {lowered(legibility)}"] for what, value, where, legibility in listing.numbers
    ]
    measured = [[name, shown, ""] for name, shown in listing.measurements]
    return [row for row in known if row[1]] + numbers + measured


def _sections(listing: Listing, sheet: Sheet) -> list[Block]:
    found = []
    for title, wide, fill in SECTIONS:
        if blocks := fill(listing, sheet):
            found.append({"title": title, "wide": wide, "blocks": blocks})
    return found


def _date(listing: Listing, sheet: Sheet) -> list[Block]:
    return _words(listing.made_evidence, sheet, "How the date is known")


def _parts(listing: Listing, sheet: Sheet) -> list[Block]:
    found = listing.originality
    room, groups = sheet.room.rows, []
    for name, parts in found.groups:
        groups.append({"name": name, "parts": [_part(part, sheet) for part in parts[:room]]})
        room -= len(parts[:room])
    kept = sum(len(group["parts"]) for group in groups)
    every = sum(len(parts) for _, parts in found.groups)
    if kept < every:
        sheet.without(f"{every - kept} of {every} examined parts")
    blocks: list[Block] = []
    if groups:
        blocks.append({"kind": "parts", "groups": [group for group in groups if group["parts"]]})
    if found.not_examined:
        missing = ", ".join(found.not_examined)
        blocks.append({"kind": "soft", "text": sheet.text(f"Not examined: {missing}.", "not examined")})
    return blocks


def _part(part: Any, sheet: Sheet) -> list[Any]:
    told = [part.evidence, part.note]
    original = part.state in {"original", "never-fitted"}
    if original and not sheet.room.told and any(told):
        sheet.without("how the original parts were seen")
        told = []
    said = " ".join(_ended(sheet.text(words, "how we know")) for words in told if words)
    return [part.name, part.word, said, original]


def _ended(words: str) -> str:
    return words if words.endswith((".", "!", "?", "…", "”")) else f"{words}."


def _condition(listing: Listing, sheet: Sheet) -> list[Block]:
    blocks: list[Block] = []
    if listing.grade:
        blocks.append({"kind": "strong", "text": listing.grade})
        blocks.append({"kind": "soft", "text": listing.grade_meaning})
    return blocks + _words(listing.condition, sheet, "Condition")


def _setup(listing: Listing, sheet: Sheet) -> list[Block]:
    return _words(listing.setup, sheet, "Set-up")


def _included(listing: Listing, sheet: Sheet) -> list[Block]:
    return _list(listing.included, sheet, "What comes with it")


def _provenance(listing: Listing, sheet: Sheet) -> list[Block]:
    rows = [
        [entry.when, sheet.text(": ".join(filter(None, [entry.what, entry.text])), "Provenance"), entry.gap]
        for entry in sheet.rows(listing.provenance, "Provenance")
    ]
    return [{"kind": "dated", "rows": rows}] if rows else []


def _words(text: str, sheet: Sheet, of: str) -> list[Block]:
    kept = sheet.text(text, of)
    return [{"kind": "words", "text": kept}] if kept else []


def _list(rows: Iterable[str], sheet: Sheet, of: str) -> list[Block]:
    kept = [sheet.text(row, of) for row in sheet.rows(rows, of)]
    return [{"kind": "list", "rows": kept}] if kept else []


# Title, whether it takes the whole width, and what fills it. An empty section is not printed.
SECTIONS: list[tuple[str, bool, Section]] = [
    ("Originality, part by part", True, _parts),
    ("How the date is known", False, _date),
    ("Condition", False, _condition),
    ("Set-up", False, _setup),
    ("What comes with it", False, _included),
    ("Provenance", False, _provenance),
]


def _pictures(
    listing: Listing, prints: "dict[Picture, str]", sheet: Sheet
) -> tuple[Block | None, list[Block]]:
    """The lead picture, and the further ones in their order, as far as there is room."""
    there = [_picture(picture, prints[picture]) for picture in listing.pictures if picture in prints]
    further = there[1:]
    kept = further[: sheet.room.pictures]
    if len(kept) < len(further):
        many = len(further) - len(kept)
        sheet.without(f"{many} further {'photograph' if many == 1 else 'photographs'}")
    return (there[0] if there else None), kept


def _picture(picture: Picture, path: str) -> Block:
    said = ": ".join(filter(None, [picture.view, picture.caption]))
    return {
        "path": path,
        "alt": said or picture.alt,
        "caption": said,
        "ratio": picture.width / picture.height,
    }
