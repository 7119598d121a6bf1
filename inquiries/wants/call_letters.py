"""The letter of a first call: drafted from the record, read and changed by the dealer, filled in for each person."""

import re
from datetime import datetime
from typing import NamedTuple

from django.utils import timezone

from catalog.models import Instrument
from inquiries.answering.facts import Terms, ended, on_the_whole, unended
from inquiries.answering.queries import pieces, told_of
from inquiries.people.models import Want
from inquiries.wants.letters import ending, signed
from shop.profile.queries import the_shop
from shop.wording import in_own, moment_of

FIELDS = {
    "name": "the name of the person",
    "wish": "what they wrote that they seek",
    "until": "the end of their time",
}
PLACE = re.compile(r"\{(" + "|".join(FIELDS) + r")\}")


class Filled(NamedTuple):
    """A letter to one person, and the address at which its mail is ended."""

    text: str
    unsubscribe: str


def draft(instrument: Instrument, *, at: datetime) -> str:
    """The letter as the record has it; what stands in braces is filled in for each person."""
    shop = the_shop()
    piece = pieces(Instrument.objects.filter(pk=instrument.pk), at=at).get()
    told = told_of(piece, shop, at=at)
    shown = told.shown
    known = [
        on_the_whole(told),
        shown.condition and ended(shown.condition),
        _price(told.terms),
    ]
    with in_own():
        title = piece.title
    return (
        "Dear {name},\n\n"
        "you asked us to look out for this: {wish}\n\n"
        f"Such a piece has come in, and you hear of it before it is shown to everybody: {unended(title)}, "
        f"our no. {piece.stock_id}. {' '.join(filter(None, known))}\n\n"
        "It is yours to say yes or no to until {until}. A word by mail or telephone is enough.\n\n"
        f"{signed(shop)}"
    )


def _price(terms: Terms) -> str:
    if terms.price:
        return f"The price is {terms.price}; shipping is not in it."
    return "The price is given on request." if terms.on_request else ""


def filled(letter: str, want: Want, *, until: datetime, unsubscribe: str) -> Filled:
    """The letter to one person, with the address that ends such mail at its foot."""
    values = {
        "name": want.contact.name,
        "wish": " ".join(want.sought.split()),
        "until": moment_of(timezone.localtime(until, the_shop().zone)),
    }
    text = letter.replace("\r\n", "\n")
    # In one pass, so that braces in what a person wrote are left as they are.
    text = PLACE.sub(lambda found: values[found[1]], text)
    return Filled(f"{text.rstrip()}\n\n{ending(unsubscribe)}", unsubscribe)
