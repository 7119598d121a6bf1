"""Typeset a report in the first room that holds it, and keep it until the record or the day says otherwise."""

import json
import threading
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings

from catalog.pictures.prints import print_path
from catalog.public.shown.listing import Listing
from catalog.public.shown.pictures import Picture
from catalog.report.content import content
from catalog.report.rules import MOST_PAGES, ROOMS, Room
from shop.profile.queries import the_shop
from shop.typesetting import TEMPLATES, fingerprint, page_count, pdf, write_once

REPORT = TEMPLATES / "report.typ"
LEAD_WIDTH = 1600  # pixels of the print; the others are a third as wide on paper
FURTHER_WIDTH = 800

# One at a time: whoever waited finds the report made by the one before.
_typesetting = threading.Lock()


def report(listing: Listing, *, day: date, address: str) -> bytes:
    """The report on a listing as of `day`; `address` is its public page, empty for a draft.

    It is made once for the same words and pictures. An older one of the same piece is cleared away.
    """
    shop, prints = the_shop(), _prints(listing)

    def in_room(room: Room) -> str:
        made = content(listing, shop=shop, day=day, address=address, room=room, prints=prints)
        return json.dumps(made, sort_keys=True, ensure_ascii=False)

    name = f"{listing.card.stock}-{fingerprint(REPORT, in_room(ROOMS[0]))}.pdf"
    path = Path(settings.PRINTS_DIR) / "reports" / name  # with the prints: both can be made again
    if (kept := _kept(path)) is not None:
        return kept
    Path(settings.PRINTS_DIR).mkdir(parents=True, exist_ok=True)
    with _typesetting:
        if (kept := _kept(path)) is not None:
            return kept
        made = _fitted(in_room)
        write_once(path, made)
    _clear(path, listing.card.stock)
    return made


def _kept(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None


def _fitted(in_room: Any) -> bytes:
    """Typeset in the first room that keeps to the most pages; the last room holds any record."""
    for room in ROOMS[:-1]:
        data = in_room(room)
        if page_count(REPORT, data, pictures=settings.PRINTS_DIR) <= MOST_PAGES:
            break
    else:
        data = in_room(ROOMS[-1])
    return pdf(REPORT, data, pictures=settings.PRINTS_DIR)


def _clear(kept: Path, stock: int) -> None:
    for older in kept.parent.glob(f"{stock}-*.pdf"):
        if older != kept:
            older.unlink(missing_ok=True)


def _prints(listing: Listing) -> dict[Picture, str]:
    """The pictures whose prints are in the folder, with their paths below it."""
    found = {}
    for place, picture in enumerate(listing.pictures):
        path = _print_of(picture, FURTHER_WIDTH if place else LEAD_WIDTH)
        if path.exists():
            found[picture] = "/" + path.relative_to(settings.PRINTS_DIR).as_posix()
    return found


def _print_of(picture: Picture, wanted: int) -> Path:
    width = min(picture.widths, key=lambda width: abs(width - wanted))
    return print_path(picture.token, width, "jpg")
