"""The sold archive as a reference work: by year of sale, narrowed by kind, maker and year, with counts."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from catalog.instruments.renaming_actions import rename_maker
from catalog.models import Instrument, Kind, Maker
from shop.models import ShopProfile
from tests.factories import (
    NOON,
    InstrumentFactory,
    MakerFactory,
    ModelFactory,
    PhotographFactory,
    ShopFactory,
)

# What each choice alone finds of the four pieces below.
FINDS = (
    {"banjo": 3, "mandolin": 1},
    {"halloran-pike": 2, "vash": 2},
    {"2026": 2, "2024": 1, "2023": 1},
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    ShopFactory()


@pytest.fixture
def makers(db: None) -> tuple[Maker, Maker]:
    return MakerFactory(name="Halloran & Pike"), MakerFactory(name="Vash")


def sold(maker: Maker, year: int, kind: str = "banjo", **more: Any) -> Instrument:
    model = ModelFactory(maker=maker, name=f"Model {Instrument.objects.count()}")
    at = NOON.replace(year=year)
    return InstrumentFactory(
        model=model, kind=Kind.objects.get(slug=kind), sold=True, sold_at=at, listed_at=at - timedelta(days=9),
        configuration_made=None, configuration_now=None, **more,
    )  # fmt: skip


def found(client: Client, **query: Any) -> list[int]:
    answer = client.get("/sold/", query)
    assert answer.status_code == 200
    return [card.stock for _, _, cards in answer.context["years"] for card in cards]


def counts(client: Client, name: str, **query: Any) -> list[tuple[str, int]]:
    [question] = [one for one in client.get("/sold/", query).context["questions"] if one.name == name]
    return [(choice.value, choice.many) for choice in question.choices]


@pytest.fixture
def four(makers: tuple[Maker, Maker]) -> list[Instrument]:
    """Two banjos by one maker; a mandolin and a banjo by the other; the latest sale first."""
    one, other = makers
    return [sold(one, 2026), sold(other, 2026, "mandolin"), sold(one, 2024), sold(other, 2023)]


def test_all_that_was_sold_stands_under_its_year_with_how_many_there_are(
    client: Client, four: list[Instrument]
) -> None:
    InstrumentFactory(listed=True)
    InstrumentFactory(state="withdrawn")
    years = client.get("/sold/").context["years"]
    assert [(year, many, len(cards)) for year, many, cards in years] == [
        (2026, 2, 2),
        (2024, 1, 1),
        (2023, 1, 1),
    ]
    assert sorted(card.stock for _, _, cards in years for card in cards) == [row.stock_id for row in four]


def test_it_is_narrowed_by_kind_maker_and_year(client: Client, four: list[Instrument]) -> None:
    first, second, third, last = (row.stock_id for row in four)
    assert found(client, kind="banjo") == [first, third, last]
    assert found(client, maker="vash") == [second, last]
    assert found(client, year="2024") == [third]
    assert found(client, kind="banjo", maker="vash", year="2023") == [last]


def test_each_choice_is_counted_under_what_was_chosen_for_the_others(
    client: Client, four: list[Instrument]
) -> None:
    everything = client.get("/sold/").context["questions"]
    for question, finds in zip(everything, FINDS, strict=True):
        many = {choice.value: choice.many for choice in question.choices}
        assert many == finds
        for value in many:
            assert many[value] == len(found(client, **{question.name: value}))
    assert counts(client, "maker", year="2026", kind="mandolin") == [("vash", 1)]
    assert counts(client, "year", maker="halloran-pike", kind="banjo") == [("2026", 1), ("2024", 1)]
    assert counts(client, "maker", year="2026", kind="banjo") == [("halloran-pike", 1)]


def test_choices_that_find_nothing_together_stay_in_the_form_and_lead_out(
    client: Client, four: list[Instrument]
) -> None:
    answer = client.get("/sold/", {"year": "2024", "maker": "vash", "page": "1"})
    assert "Nothing in the archive answers to all of that." in answer.text
    assert '<option value="2024" selected>2024 (0)</option>' in answer.text
    assert [(choice.name, href) for _, choice, href in answer.context["chosen"]] == [
        ("Vash", "/sold/?year=2024"),
        ("2024", "/sold/?maker=vash"),
    ]


@pytest.mark.parametrize(
    "query",
    [
        {"kind": "spoon"},
        {"maker": "nobody"},
        {"year": "0000"},
        {"year": "20²6"},
        {"year": "99999"},
        {"year": "١٩٢٠x"},
        {"sort": "price"},
    ],
)
def test_a_value_that_nothing_answers_to_chooses_nothing(
    client: Client, four: list[Instrument], query: dict[str, str]
) -> None:
    assert len(found(client, **query)) == 4


def test_a_maker_of_whom_only_unpublished_records_tell_is_no_choice(
    client: Client, four: list[Instrument]
) -> None:
    InstrumentFactory(model__maker__name="Secret")
    page = client.get("/sold/", {"maker": "secret"})
    assert "Secret" not in page.text
    assert page.context["chosen"] == []


def test_a_maker_is_found_by_its_former_name(client: Client, four: list[Instrument], makers: Any) -> None:
    rename_maker(makers[1], "Vash & Nieces", was="Vash", by=None, at=NOON)
    answer = client.get("/sold/", {"maker": "vash"})
    assert [choice.name for _, choice, _ in answer.context["chosen"]] == ["Vash & Nieces"]
    assert '<option value="vash-nieces" selected>Vash &amp; Nieces (2)</option>' in answer.text


def test_the_year_of_a_sale_is_the_shops(client: Client, makers: tuple[Maker, Maker]) -> None:
    ShopProfile.objects.update(time_zone="Pacific/Auckland")
    eve = sold(makers[0], 2025)
    Instrument.objects.filter(pk=eve.pk).update(sold_at=datetime(2025, 12, 31, 20, tzinfo=UTC))
    assert counts(client, "year") == [("2026", 1)]
    assert found(client, year="2026") == [eve.stock_id]


def test_an_address_with_empty_choices_becomes_a_short_one(client: Client) -> None:
    assert client.get("/sold/?kind=banjo&maker=&year=&page=2")["Location"] == "/sold/?kind=banjo"


def test_pages_keep_what_was_chosen_and_the_count_of_the_whole_year(client: Client, makers: Any) -> None:
    for _ in range(25):
        sold(makers[0], 2026)
    second = client.get("/sold/", {"maker": "halloran-pike", "page": "2"})
    assert [(year, many, len(cards)) for year, many, cards in second.context["years"]] == [(2026, 25, 1)]
    assert "maker=halloran-pike&amp;page=1" in second.text
    assert "25 instruments sold, 25 to 25 here" in second.text


def test_it_asks_as_often_for_many_as_for_few(client: Client, makers: Any) -> None:
    def asked(**query: str) -> int:
        with CaptureQueriesContext(connection) as seen:
            client.get("/sold/", query)
        return len(seen)

    PhotographFactory(instrument=sold(makers[0], 2026))
    few = asked(), asked(maker="halloran-pike", year="2026", kind="banjo")
    for year in range(2015, 2026):
        PhotographFactory(instrument=sold(MakerFactory(), year))
        PhotographFactory(instrument=sold(makers[0], year, "ukulele"))
    assert (asked(), asked(maker="halloran-pike", year="2026", kind="banjo")) == few
    assert max(few) <= 16
