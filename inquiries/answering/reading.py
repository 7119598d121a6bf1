"""What a letter is read for before it goes: what it gives away, and what it claims of the piece.

Both are the shop's own rules: common practice, no source. What is quoted of the other's letter (“> …”) is theirs and
claims nothing; what it gives away is looked for there, too.
"""

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from django.utils import timezone

from catalog.claims.queries import Reading, read_letter
from inquiries.answering.guard import private_places
from inquiries.answering.private import shop_and_pieces
from inquiries.answering.queries import piece_of
from inquiries.threads.models import Inquiry
from inquiries.threads.stops import Stop, register

_QUOTED = re.compile(r"^>.*$", re.MULTILINE)


class Claimed(NamedTuple):
    """A claim in a letter that the record does not carry: its place, and what is to be said of it."""

    start: int
    end: int
    contradicted: bool
    why: str


@register
def gives_away(text: str, inquiry: Inquiry) -> Sequence[Stop]:
    """Private figures, names, addresses and notes: such a letter does not go out, whatever is pressed."""
    private, known = shop_and_pieces(text, inquiry, at=timezone.now())
    return [Stop(place.start, place.end, place.why.value) for place in private_places(text, private, known)]


@register
def claims_too_much(text: str, inquiry: Inquiry) -> Sequence[Stop]:
    """What the record contradicts does not go out; what it does not establish goes out by a second press."""
    return [
        Stop(claim.start, claim.end, claim.why, gives_way=not claim.contradicted)
        for claim in claims_of(text, piece_of(inquiry, at=timezone.now()) if inquiry.instrument_id else None)
    ]


def claims_of(text: str, instrument: object) -> list[Claimed]:
    """The claims of a letter that the record of an instrument (through `pieces`; or None) does not carry."""
    return [] if instrument is None else list(_claims(text, instrument))


def _claims(text: str, instrument: object) -> Iterator[Claimed]:
    ours = _QUOTED.sub(lambda quoted: " " * len(quoted[0]), text)
    for reading in read_letter(instrument, ours):  # type: ignore[arg-type]
        if reading.open:
            yield Claimed(reading.found.start, reading.found.end, reading.contradicted, _why(reading))


def _why(reading: Reading) -> str:
    says = "The record says otherwise" if reading.contradicted else "The record does not establish this"
    return f"{says}. {reading.judgement.why} Rule of “{reading.claim.name}”: {reading.claim.rule}"
