"""Linked data in pages, against the vocabulary as it is published.

Source: schema.org, release 30.0, file schemaorg-current-https.jsonld; data/schemaorg_30.0_cut.jsonld is a part of it.
"""

from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from catalog.models import Instrument
from inquiries.sales.hold_actions import place_hold
from shop.models import ShopProfile
from tests.factories import InquiryFactory, InstrumentFactory, OwnerFactory, PhotographFactory, ShopFactory
from tests.support.linked import blocks, faults, graph_of, said, things
from tests.world import build_world, fill

pytestmark = pytest.mark.django_db


def sold_with_price() -> Instrument:
    ShopProfile.objects.update(sold_prices=True)
    return InstrumentFactory(sold=True)


def held() -> Instrument:
    instrument = InstrumentFactory(listed=True)
    place_hold(instrument, InquiryFactory(instrument=instrument), by=None, at=timezone.now())
    return instrument


PIECES = {
    "listed": lambda: InstrumentFactory(listed=True),
    "held": held,
    "on request": lambda: InstrumentFactory(listed=True, asking_price=None, price_on_request=True),
    "sold": lambda: InstrumentFactory(sold=True),
    "sold, price told": sold_with_price,
    "a sure day": lambda: InstrumentFactory(listed=True, made="12 May 1931", made_edtf="1931-05-12"),
    "hardly known": lambda: InstrumentFactory(
        listed=True, model=None, maker=None, made="", made_edtf="", story="", configuration_made=None
    ),
}


@pytest.mark.parametrize("piece", PIECES)
def test_all_that_is_said_of_a_piece_is_in_the_vocabulary(client: Client, piece: str) -> None:
    ShopFactory(tagline="Old strings", address="1 Lane\nTown", telephone="+1 555 010 0110")
    instrument = PIECES[piece]()
    if instrument.maker:
        fill(instrument, OwnerFactory())
    PhotographFactory(instrument=instrument)
    (block,) = blocks(client.get(instrument.get_absolute_url()).text)
    graph = graph_of(block)
    assert faults(graph) == []
    (thing,) = things(graph, "IndividualProduct")
    assert said(graph, thing, "sku") == str(instrument.stock_id)
    assert len(things(graph, "PropertyValue")) >= 3
    assert len(things(graph, "Offer")) == len(things(graph, "BreadcrumbList")) == 1


def test_so_is_all_that_other_pages_say(client: Client) -> None:
    ShopFactory(tagline="Old strings", address="1 Lane\nTown", telephone="+1 555 010 0110")
    samples = build_world().samples
    maker, model = samples["maker_slug"], samples["model_slug"]
    expected = {
        "/": "Organization",
        "/about/": "Organization",
        f"/makers/{maker}/": "BreadcrumbList",
        f"/makers/{maker}/{model}/": "BreadcrumbList",
    }
    for path, kind in expected.items():
        (block,) = blocks(client.get(path).text)
        graph = graph_of(block)
        assert faults(graph) == [], path
        assert things(graph, kind), path


WRONG: list[tuple[dict[str, Any], str]] = [
    ({"@type": "Banjo", "name": "x"}, "Banjo is no class"),
    ({"@type": "Offer", "cost": "1"}, "cost is no property"),
    ({"@type": "Organization", "serialNumber": "4417"}, "serialNumber does not belong to"),
    (
        {"@type": "Offer", "availability": "https://schema.org/NearlySold"},
        "NearlySold is not in the vocabulary",
    ),
    ({"@type": "Offer", "availability": "https://schema.org/UsedCondition"}, "availability does not take"),
    ({"@type": "Offer", "availability": "sold"}, "availability does not take"),
    ({"@type": "IndividualProduct", "productionDate": "1931~"}, "productionDate does not take"),
    (
        {"@type": "IndividualProduct", "manufacturer": {"@type": "Person", "name": "x"}},
        "manufacturer does not take",
    ),
    ({"@type": "IndividualProduct", "image": "front.jpg"}, "image does not take"),
    ({"@type": "ListItem", "position": 1.5}, "position does not take"),
]


@pytest.mark.parametrize(("values", "fault"), WRONG)
def test_the_check_finds_what_is_wrong(values: dict[str, Any], fault: str) -> None:
    found = faults(graph_of({"@context": "https://schema.org", **values}))
    assert any(fault in says for says in found), found
