"""What stands at the foot of a listing, what leads to maker and model, and what is told of a sold one's price."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from catalog.instruments.addresses import maker_address, model_address
from catalog.models import Instrument, Model
from shop.models import ShopProfile
from tests.factories import (
    NOON,
    InstrumentFactory,
    MakerFactory,
    ModelFactory,
    OwnerFactory,
    ShopFactory,
)
from tests.test_wall import crawl
from tests.world import World, build_world

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    ShopFactory()


@pytest.fixture
def model() -> Model:
    return ModelFactory(maker=MakerFactory(name="Halloran & Pike"), name="Clarion")


def beside(client: Client, piece: Instrument) -> Any:
    return client.get(piece.get_absolute_url()).context["beside"]


def stocks(cards: Any) -> list[int]:
    return [card.stock for card in cards]


def test_others_of_the_model_are_those_that_were_sold_the_latest_first(client: Client, model: Model) -> None:
    piece = InstrumentFactory(model=model, listed=True)
    gone = [InstrumentFactory(model=model, sold=True, sold_at=NOON - n * DAY) for n in range(5)]
    InstrumentFactory(model=model)
    InstrumentFactory(sold=True)
    assert stocks(beside(client, piece).of_model) == [row.stock_id for row in gone[:4]]
    assert stocks(beside(client, gone[0]).of_model) == [row.stock_id for row in gone[1:]]
    page = client.get(piece.get_absolute_url()).text
    assert "Others of this model that passed through here" in page


def test_more_by_the_maker_is_what_is_for_sale_before_what_is_sold_and_nothing_twice(
    client: Client, model: Model
) -> None:
    piece, twin = (InstrumentFactory(model=model, listed=True) for _ in range(2))
    same = InstrumentFactory(model=model, sold=True)
    other = ModelFactory(maker=model.maker, name="Belltower")
    gone, newer = (
        InstrumentFactory(model=other, sold=True),
        InstrumentFactory(model=other, listed=True, listed_at=NOON),
    )
    InstrumentFactory(model=other)
    InstrumentFactory(model=other, state="withdrawn", listed_at=NOON)
    found = beside(client, piece)
    assert stocks(found.of_model) == [same.stock_id]
    assert stocks(found.of_maker) == [newer.stock_id, twin.stock_id, gone.stock_id]


def test_an_unidentified_piece_has_nothing_beside_it(client: Client) -> None:
    piece = InstrumentFactory(listed=True, model=None, maker=None)
    InstrumentFactory(sold=True, model=None, maker=None)
    found = beside(client, piece)
    assert (found.of_model, found.of_maker, found.maker_address) == ([], [], "")
    page = client.get(piece.get_absolute_url()).text
    assert "More by" not in page
    assert "Others of this model" not in page


def test_the_facts_lead_to_maker_and_model(client: Client, model: Model) -> None:
    page = client.get(InstrumentFactory(model=model, listed=True).get_absolute_url()).text
    assert f'<a href="{maker_address(model.maker)}">Halloran &amp; Pike</a>' in page
    assert f'<a href="{model_address(model)}">Clarion</a>' in page
    known = InstrumentFactory(model=None, maker=model.maker, listed=True)
    assert f'<a href="{maker_address(model.maker)}">' in client.get(known.get_absolute_url()).text


def test_the_preview_of_a_draft_leads_to_no_page_that_is_not_there(client: Client, model: Model) -> None:
    client.force_login(OwnerFactory())
    draft = InstrumentFactory(model=model)
    page = client.get(f"/desk/stock/{draft.stock_id}/preview/").text
    assert "Halloran &amp; Pike" in page
    assert "/makers/halloran-pike/" not in page


def test_the_foot_asks_as_often_for_many_as_for_few(client: Client, model: Model) -> None:
    def more(many: int) -> None:
        for _ in range(many):
            InstrumentFactory(model=model, sold=True)
            InstrumentFactory(
                model=ModelFactory(maker=model.maker, name=f"M {Model.objects.count()}"), sold=True
            )

    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            client.get(piece.get_absolute_url())
        return len(seen)

    piece = InstrumentFactory(model=model, listed=True)
    more(1)
    few = asked()
    more(6)
    assert asked() == few


def test_the_catalogue_tells_two_makers_apart_whose_names_coincide_in_addresses(
    client: Client, model: Model
) -> None:
    InstrumentFactory(model=model, listed=True)
    other = InstrumentFactory(model__maker__name="Halloran-Pike", listed=True)
    answer = client.get("/instruments/", {"maker": "halloran-pike-2"})
    assert stocks(answer.context["cards"]) == [other.stock_id]


@pytest.mark.parametrize("told", [False, True])
def test_the_last_asking_price_of_a_sold_piece_is_told_where_the_owner_wants_it(
    client: Client, model: Model, told: bool
) -> None:
    ShopProfile.objects.update(sold_prices=told)
    sold = InstrumentFactory(model=model, sold=True, asking_price=4321)
    for path in (sold.get_absolute_url(), "/sold/", model_address(model), maker_address(model.maker)):
        assert ("Asked: $4,321" in client.get(path).text) is told, path
    page = client.get(sold.get_absolute_url()).text
    assert ("The price is the last that was asked, which need not be what was paid." in page) is told


def test_a_sold_piece_that_was_priced_on_request_has_no_price_to_tell(client: Client) -> None:
    ShopProfile.objects.update(sold_prices=True)
    sold = InstrumentFactory(sold=True, asking_price=None, price_on_request=True)
    page = client.get(sold.get_absolute_url()).text
    assert "Asked:" not in page
    assert "Price on request" not in page


@pytest.fixture
def world() -> World:
    """A world in which 67,123 was asked for the sold piece, and 12,500 was paid."""
    world = build_world()
    Instrument.objects.update(asking_price=67_123)
    Instrument.objects.filter(pk=world.listed.pk).update(asking_price=1_111)
    return world


@pytest.mark.parametrize("told", [False, True])
def test_on_no_public_address_stands_what_was_paid_nor_unasked_what_was_asked(
    client: Client, world: World, told: bool
) -> None:
    ShopProfile.objects.update(sold_prices=told)
    bodies = {path: body.replace(",", "") for path, body in crawl(client, world)}
    assert world.sold.get_absolute_url() in bodies
    # A file of figures such as a PDF may hold bare digits by chance.
    assert [path for path, body in bodies.items() if "$12500" in body or "12500.00" in body] == []
    with_price = [path for path, body in bodies.items() if "67123" in body]
    assert bool(with_price) is told
