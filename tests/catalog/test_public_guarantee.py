"""The guarantee on a listing: the shop's text, and what the record takes out of it."""

import pytest
from django.test import Client
from django.utils import timezone

from catalog.models import Finding, Instrument
from tests.factories import InstrumentFactory, ShopFactory

pytestmark = pytest.mark.django_db

PROMISE = "What we describe is as we describe it, or you have your money back."


def examine(instrument: Instrument, **states: str) -> None:
    for part in instrument.kind.parts.filter(children=None):
        Finding.objects.create(
            instrument=instrument,
            part=part,
            state=states.get(part.slug, "original"),
            seen="eye",
            examined_at=timezone.now(),
        )


def guarantee_on(client: Client, instrument: Instrument) -> str:
    page = client.get(instrument.get_absolute_url()).content.decode()
    return page.partition('id="guarantee"')[2].partition("</section>")[0]


def test_no_text_no_guarantee(client: Client) -> None:
    ShopFactory()
    assert guarantee_on(client, InstrumentFactory(listed=True)) == ""


def test_it_is_followed_by_what_it_does_not_cover(client: Client) -> None:
    ShopFactory(guarantee=PROMISE)
    instrument = InstrumentFactory(listed=True)
    examine(instrument, tuners="later", case="not-examined")
    shown = guarantee_on(client, instrument)
    assert PROMISE in shown
    assert [line.partition("</li>")[0] for line in shown.split("<li>")[1:]] == [
        "It was made as tenor, four strings; it stands as five-string.",
        "The tuners are later replacements.",
        "The date of make, c. 1931, is given as our opinion; the evidence does not settle it.",
        "Not examined, and so not covered: case.",
    ]


def test_a_piece_without_exceptions_says_so(client: Client) -> None:
    ShopFactory(guarantee=PROMISE)
    instrument = InstrumentFactory(listed=True, made="1931", made_edtf="1931")
    instrument.configuration_now = instrument.configuration_made
    instrument.save()
    instrument.dating.create(kind="number", says="Rim number 9173", when="1931")
    examine(instrument)
    shown = guarantee_on(client, instrument)
    assert "the record names no exception" in shown
    assert "<li>" not in shown


def test_a_kind_with_an_empty_sheet_promises_nothing_of_parts(client: Client) -> None:
    ShopFactory(guarantee=PROMISE)
    instrument = InstrumentFactory(listed=True)
    instrument.kind.parts.all().delete()
    assert "No part of it has been examined." in guarantee_on(client, instrument)


def test_a_sold_piece_promises_nothing_any_more(client: Client) -> None:
    ShopFactory(guarantee=PROMISE)
    assert guarantee_on(client, InstrumentFactory(sold=True)) == ""
