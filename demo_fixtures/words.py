"""What the invented dealer says beyond the record: answers to questioned claims, and a speaker's sheet."""

from typing import Any

from catalog.claims.actions import answer_claim
from catalog.claims.queries import read_texts
from catalog.instruments.models import Instrument
from catalog.public.queries import pages
from catalog.speaking.actions import leave_out, reword
from catalog.speaking.queries import sheet_of
from demo_fixtures.clock import Clock
from demo_fixtures.evidence import looked_at
from shop.models import ShopProfile, User

Row = dict[str, Any]


def load_answers(row: Row, instrument: Instrument, *, owner: User, clock: Clock) -> None:
    """Answer the claims that the record alone does not carry; each by the words of its sentence."""
    at = looked_at(row, clock)
    for answer in row.get("answers", []):
        (found,) = (
            reading.found
            for reading in read_texts(instrument)
            if reading.found.claim == answer["claim"] and answer["words"] in reading.found.sentence
        )
        answer_claim(instrument, found.key, found.sentence, answer["how"], answer["reason"], by=owner, at=at)


def load_spoken_lines(row: Row, instrument: Instrument, *, owner: User, clock: Clock) -> None:
    """Reword lines of the speaker's sheet, or leave them out."""
    lines = row.get("spoken", [])
    if not lines:
        return
    at = looked_at(row, clock)
    piece = pages(Instrument.objects.all(), at=at).get(pk=instrument.pk)
    given = {spoken.line.key: spoken.line.words for spoken in sheet_of(piece, ShopProfile.objects.get())}
    for line in lines:
        if "words" in line:
            key = line["key"]
            reword(instrument, key, line["words"], from_record=given[key], by=owner, at=at)
        else:
            leave_out(instrument, line["key"], by=owner, at=at)
