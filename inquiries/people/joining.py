"""What becomes of the words about two people who are one: from values alone.

Of each thing that only one of them has, that is taken. What both have and differ in is kept twice: the first stays
where it is, the other goes into another address or a line of the note. Nothing is dropped.
"""

from typing import Any, NamedTuple

from inquiries.people.rules import Place, folded_name, folded_place
from inquiries.people.telephones import e164, international

LONGEST_NUMBER, LONGEST_LANGUAGES = 40, 60  # as the fields are
ANY = "any"  # reached however it suits: nothing has been said


class Known(NamedTuple):
    """What a contact's own row says."""

    name: str
    email: str
    telephone: str
    address: str
    country: str
    languages: str
    reach_by: str
    resale_certificate: str
    resale_state: str
    resale_until: Any
    note: str


class Joined(NamedTuple):
    """What changes on the kept row, and what is kept beside it."""

    fields: dict[str, Any]
    email: str  # another address of the kept one from now on, or nothing
    place: Place | None  # another postal address, or none


def joined(kept: Known, gone: Known, *, home: str) -> Joined:
    """Join two rows into the first; a number without a country is one of `home`."""
    fields: dict[str, Any] = {}
    lines: list[str] = []
    if folded_name(kept.name) != folded_name(gone.name):
        lines.append(f"Also known as {gone.name}.")
    email = _email(kept, gone, fields)
    place = _place(kept, gone, fields)
    _telephone(kept, gone, fields, lines, home)
    _languages(kept, gone, fields)
    _certificate(kept, gone, fields, lines)
    if kept.reach_by == ANY != gone.reach_by:
        fields["reach_by"] = gone.reach_by
    if gone.note and gone.note not in kept.note:
        lines.append(gone.note)
    if lines:
        fields["note"] = "\n".join(filter(None, [kept.note, *lines]))
    return Joined(
        {name: value for name, value in fields.items() if value != getattr(kept, name)}, email, place
    )


def _email(kept: Known, gone: Known, fields: dict[str, Any]) -> str:
    if kept.email or not gone.email:
        return gone.email if gone.email.casefold() != kept.email.casefold() else ""
    fields["email"] = gone.email
    return ""


def _place(kept: Known, gone: Known, fields: dict[str, Any]) -> Place | None:
    """An address and its country stay together: half of one place and half of another would be neither."""
    if not kept.address:
        if gone.address:
            fields["address"] = gone.address
        if gone.country and (gone.address or not kept.country):
            fields["country"] = gone.country
        return None
    mine, theirs = Place(kept.address, kept.country), Place(gone.address, gone.country)
    if not gone.address:
        return None
    if kept.country in {gone.country, ""} and _same(mine, theirs):
        fields["country"] = gone.country or kept.country
        return None
    return None if mine == theirs else theirs


def _same(mine: Place, theirs: Place) -> bool:
    here, there = (folded_place(place._replace(country="")) for place in (mine, theirs))
    return (bool(here) and here == there) or mine.lines == theirs.lines


def _telephone(kept: Known, gone: Known, fields: dict[str, Any], lines: list[str], home: str) -> None:
    """A number that comes under another country is written as everybody can dial it."""
    country = fields.get("country", kept.country)
    mine = _under(kept, country, home)
    theirs = _under(gone, country, home)
    if kept.telephone:
        fields["telephone"] = mine
        if theirs and _number(kept, home) != _number(gone, home):
            lines.append(f"Another telephone number: {theirs}.")
    elif theirs:
        fields["telephone"] = theirs


def _under(person: Known, country: str, home: str) -> str:
    own = person.country or home
    written = person.telephone if own == (country or home) else international(person.telephone, own)
    return written if len(written) <= LONGEST_NUMBER else person.telephone


def _number(person: Known, home: str) -> str:
    return e164(person.telephone, person.country or home) or person.telephone


def _languages(kept: Known, gone: Known, fields: dict[str, Any]) -> None:
    spoken = [part.strip() for words in (kept.languages, gone.languages) for part in words.split(",")]
    together = ", ".join(dict.fromkeys(filter(None, spoken)))
    if gone.languages and len(together) <= LONGEST_LANGUAGES:
        fields["languages"] = together


def _certificate(kept: Known, gone: Known, fields: dict[str, Any], lines: list[str]) -> None:
    if not gone.resale_certificate or gone.resale_certificate == kept.resale_certificate:
        return
    if not kept.resale_certificate:
        for name in ("resale_certificate", "resale_state", "resale_until"):
            fields[name] = getattr(gone, name)
        return
    issued = f", issued by {gone.resale_state}" if gone.resale_state else ""
    until = f", good until {gone.resale_until:%-d %B %Y}" if gone.resale_until else ""
    lines.append(f"Another resale certificate: {gone.resale_certificate}{issued}{until}.")
