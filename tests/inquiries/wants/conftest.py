"""A piece that is ready to be published, and people who seek one."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from catalog.models import Finding, Instrument
from inquiries.models import Want
from inquiries.wants.links import Links
from shop.models import ShopProfile
from tests.factories import NOON, ContactFactory, InstrumentFactory, PhotographFactory

LINKS = Links("https://shop.example{}".format)
LETTER = "Dear {name},\n\nyou seek {wish}. It is yours until {until}."

Seeks = Callable[..., Want]


def ready_piece(**fields: Any) -> Instrument:
    """A draft in which nothing is missing."""
    piece = InstrumentFactory(**fields)
    for place, view in enumerate(piece.kind.views.filter(required=True)):
        PhotographFactory(instrument=piece, view=view, lead=not place, position=place)
    part = piece.kind.parts.filter(children=None).first()
    Finding.objects.create(
        instrument=piece, part=part, state="original", seen="seen", certainty="certain", examined_at=NOON
    )
    return piece


def seek(days_ago: int = 1, name: str = "", email: str | None = None, **stated: Any) -> Want:
    """A wish that counts."""
    who = {"name": name} if name else {}
    contact = ContactFactory(**who, **({} if email is None else {"email": email}))
    asked = NOON - timedelta(days=days_ago)
    return Want.objects.create(
        contact=contact, sought="A tenor", asked_at=asked, confirmed_at=asked, **stated
    )


@pytest.fixture
def ready(profile: ShopProfile) -> Instrument:
    return ready_piece()
