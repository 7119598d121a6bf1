"""What the public reads of what is unusual: confirmed differences, each with what is usual and its source."""

from typing import Any

import pytest
from django.test import Client

from catalog.models import Instrument, Paper, Photograph, SeenFeature, Unusual, UsualFeature
from tests.factories import NOON, InstrumentFactory, PhotographFactory, ShopFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop() -> None:
    ShopFactory()


@pytest.fixture
def instrument() -> Instrument:
    """A listed piece of 1931 with a pierced tailpiece, on a model whose tailpieces are plain."""
    piece = InstrumentFactory(listed=True)
    UsualFeature.objects.create(
        model=piece.model, what="Tailpiece", value="Plain", source="Brantley price list", page="4"
    )
    UsualFeature.objects.create(
        model=piece.model, what="Tailpiece", value="Clamshell", when="1930 or later", source="Ledger"
    )
    SeenFeature.objects.create(instrument=piece, what="Tailpiece", value="Pierced with stars")
    return piece


def judge(instrument: Instrument, **more: Any) -> Unusual:
    values = {"seen": "Pierced with stars", "verdict": "factory", "evidence": "So in the order book"}
    return Unusual.objects.create(instrument=instrument, what="Tailpiece", at=NOON, **values | more)


def page(client: Client, instrument: Instrument) -> str:
    return client.get(instrument.get_absolute_url()).content.decode()


def test_a_difference_that_nobody_has_judged_stays_at_the_desk(
    client: Client, instrument: Instrument
) -> None:
    text = page(client, instrument)
    assert "Unusual on this model" not in text
    assert "Pierced with stars" not in text


def test_a_confirmed_difference_stands_with_what_is_usual_and_its_source(
    client: Client, instrument: Instrument
) -> None:
    judge(instrument)
    [thing] = client.get(instrument.get_absolute_url()).context["listing"].unusual
    assert (thing.what, thing.seen, thing.verdict) == ("Tailpiece", "Pierced with stars", "Factory work")
    assert thing.usual == [
        ("Plain", "Brantley price list, p. 4"),
        ("Clamshell (1930 or later)", "Ledger"),
    ]
    text = page(client, instrument)
    for words in ("Unusual on this model", "Tailpiece: Pierced with stars", "Brantley price list, p. 4"):
        assert words in text
    assert "<b>Factory work</b>. So in the order book" in text


def test_a_verdict_on_another_value_is_no_verdict(client: Client, instrument: Instrument) -> None:
    judge(instrument, seen="Cast")
    assert "Unusual on this model" not in page(client, instrument)


def test_what_turns_out_to_be_usual_is_no_longer_told(client: Client, instrument: Instrument) -> None:
    judge(instrument)
    UsualFeature.objects.create(
        model=instrument.model, what="Tailpiece", value="pierced  with stars", source="A later list"
    )
    assert "Unusual on this model" not in page(client, instrument)


def test_it_points_to_its_picture_on_the_page(client: Client, instrument: Instrument) -> None:
    PhotographFactory(instrument=instrument, lead=True)
    back = PhotographFactory(instrument=instrument, position=1)
    row = judge(instrument, photograph=back)
    text = page(client, instrument)
    assert 'href="#picture-1">See it' in text
    assert 'id="picture-1"' in text
    Unusual.objects.filter(pk=row.pk).update(photograph=instrument.photographs.get(lead=True))
    text = page(client, instrument)
    assert 'href="#picture-0">See it' in text
    assert 'id="picture-0"' in text


def test_a_picture_that_is_not_ready_is_not_pointed_to(client: Client, instrument: Instrument) -> None:
    waiting = PhotographFactory(instrument=instrument, state=Photograph.State.WAITING)
    judge(instrument, photograph=waiting)
    assert "See it on the photograph" not in page(client, instrument)


@pytest.mark.parametrize("public", [True, False])
def test_a_paper_is_named_only_when_it_may_be(client: Client, instrument: Instrument, public: bool) -> None:
    paper = Paper.objects.create(
        instrument=instrument, title="Order of Mrs Ostrow", public=public, token="t", received_at=NOON
    )
    judge(instrument, paper=paper)
    assert ("Order of Mrs Ostrow" in page(client, instrument)) is public


def test_its_price_in_questions_to_the_database_is_fixed(
    client: Client, instrument: Instrument, django_assert_max_num_queries: Any
) -> None:
    judge(instrument)
    with django_assert_max_num_queries(60) as one:
        page(client, instrument)
    for n in range(5):
        UsualFeature.objects.create(model=instrument.model, what=f"Thing {n}", value="Plain", source="List")
        SeenFeature.objects.create(instrument=instrument, what=f"Thing {n}", value="Fancy")
        Unusual.objects.create(
            instrument=instrument, what=f"Thing {n}", seen="Fancy", verdict="unknown", at=NOON
        )
    with django_assert_max_num_queries(len(one)):
        assert "Thing 4: Fancy" in page(client, instrument)
