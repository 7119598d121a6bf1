"""The catalogue's choices: each counted exactly, each state an address, each search with its order."""

from datetime import timedelta
from decimal import Decimal
from itertools import combinations
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from catalog.instruments.addresses import maker_places
from catalog.instruments.availability import annotated
from catalog.instruments.renaming_actions import rename_maker
from catalog.models import Finding, Instrument, Kind, Part
from catalog.originality.queries import with_word
from catalog.search.narrowing import Narrowed, choices_of
from catalog.search.shelf import decades, the_shelf
from catalog.search.shelving import fill
from inquiries.sales.hold_actions import place_hold
from tests.factories import NOON, InquiryFactory, InstrumentFactory, ModelFactory, ShopFactory

pytestmark = pytest.mark.django_db

NAMES = ("kind", "maker", "configuration", "made_as", "originality", "decade", "availability", "new")


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    ShopFactory()


@pytest.fixture
def stock() -> None:
    """Eighteen pieces that differ in everything that narrows."""
    models = [ModelFactory() for _ in range(3)]
    kinds = list(Kind.objects.filter(slug__in=["banjo", "ukulele", "mandolin-family"])) or list(
        Kind.objects.all()[:3]
    )
    for number in range(18):
        kind = kinds[number % len(kinds)]
        sheets = list(kind.configurations.all())
        piece = InstrumentFactory(
            listed=True,
            kind=kind,
            model=models[number % 3 if number % 5 else 0],
            configuration_made=sheets[number % 2],
            configuration_now=sheets[0],
            made_earliest=[1919, 1925, None, 1929][number % 4],
            made_latest=[1921, 1925, 1938, None][number % 4],
            asking_price=None if number == 7 else 500 * (number + 1),
            price_on_request=number == 7,
            currency="EUR" if number == 8 else "USD",
            listed_at=NOON - timedelta(days=number * 3),
        )
        if number % 4 == 1:
            part = Part.objects.filter(kind=kind, role="finish").first()
            Finding.objects.create(
                instrument=piece, part=part, state="refinished", evidence="Seen", examined_at=NOON
            )
        if number % 6 == 0:
            place_hold(piece, InquiryFactory(instrument=piece), by=None, at=NOON)
    InstrumentFactory(sold=True)
    InstrumentFactory()


def by_hand(**chosen: Any) -> set[int]:
    """The stock numbers that answer, found by looking at each piece."""
    rows = annotated(with_word(Instrument.objects.listed().named()), at=NOON)
    return {row.stock_id for row in rows if all(_answers(row, name, value) for name, value in chosen.items())}


def _answers(row: Any, name: str, value: Any) -> bool:
    def sheet(configuration: Any) -> str:
        return f"{configuration.kind.slug}.{configuration.slug}"

    month = timezone.localtime(NOON).replace(day=1, hour=0, minute=0)
    return {
        "kind": lambda: row.kind.slug == value,
        "maker": lambda: maker_places().slugs[row.maker_id] == value,
        "configuration": lambda: sheet(row.configuration_now) == value,
        "made_as": lambda: sheet(row.configuration_made) == value,
        "originality": lambda: row.word == value,
        "decade": lambda: int(value) in decades(row.made_earliest, row.made_latest),
        "availability": lambda: row.taken == (value == "on-hold"),
        "new": lambda: row.listed_at >= month,
        "price_from": lambda: (
            row.currency == "USD" and row.asking_price is not None and row.asking_price >= value
        ),
        "price_to": lambda: (
            row.currency == "USD" and row.asking_price is not None and row.asking_price <= value
        ),
    }[name]()


def narrowed(**chosen: Any) -> Narrowed:
    return Narrowed(the_shelf(), chosen, currency="USD", at=NOON)


STATES: list[dict[str, Any]] = [
    {},
    {"kind": "banjo"},
    {"availability": "on-hold"},
    {"new": "month"},
    {"decade": "1920", "price_to": Decimal("4999.99")},
    {"originality": "refinished", "price_from": Decimal(1000)},
    {"kind": "banjo", "availability": "available", "decade": "1930"},
    {"price_from": Decimal(9000), "price_to": Decimal(9000)},
    {"price_from": Decimal(1000000)},
]


@pytest.mark.parametrize("state", STATES, ids=[" ".join(map(str, state)) or "all" for state in STATES])
def test_what_is_found_and_every_count_is_what_a_look_at_each_piece_gives(
    stock: None, state: dict[str, Any]
) -> None:
    found = narrowed(**state)
    assert set(found.stocks(0, 100)) == by_hand(**state)
    assert found.many == len(by_hand(**state))
    for name in NAMES:
        others = {key: value for key, value in state.items() if key != name}
        counted = {choice.value: many for choice, many in found.counts(name)}
        assert counted == {value: len(by_hand(**others, **{name: value})) for value in counted}
        assert {choice.value for choice in choices_of(found.shelf, name)} == set(counted)


def test_every_pair_of_choices_finds_what_both_find(stock: None) -> None:
    shelf = the_shelf()
    firsts = {name: choices_of(shelf, name)[0].value for name in NAMES}
    for one, other in combinations(NAMES, 2):
        pair = {one: firsts[one], other: firsts[other]}
        assert set(narrowed(**pair).stocks(0, 100)) == by_hand(**pair)


def test_bands_of_prices_are_counted_and_leave_out_what_cannot_be_compared(stock: None) -> None:
    bands = narrowed().bands()
    assert [(band.lowest, band.highest) for band in bands] == [
        (None, 1000),
        (1000, 2500),
        (2500, 5000),
        (5000, 10000),
    ]
    assert sum(band.many for band in bands) == 16
    for band in bands:
        chosen = {
            **({"price_from": Decimal(band.lowest)} if band.lowest else {}),
            **({"price_to": Decimal(band.highest) - Decimal("0.01")} if band.highest else {}),
        }
        assert band.many == len(by_hand(**chosen))


@pytest.mark.parametrize(
    ("earliest", "latest", "found"),
    [
        (1927, 1927, [1920]),
        (1919, 1921, [1910, 1920]),
        (1899, 1930, [1890, 1900, 1910, 1920, 1930]),
        (None, 1939, [1930]),
        (1919, None, [1910]),
        (None, None, []),
    ],
)
def test_a_piece_stands_in_every_decade_in_which_it_may_have_been_made(
    earliest: int | None, latest: int | None, found: list[int]
) -> None:
    assert list(decades(earliest, latest)) == found


def test_orders(stock: None) -> None:
    newest = list(Instrument.objects.listed().values_list("stock_id", flat=True))
    assert narrowed().stocks(0, 100) == newest
    assert narrowed().stocks(5, 9) == newest[5:9]
    prices = {row.stock_id: row.asking_price for row in Instrument.objects.listed()}
    rising = [prices[stock] for stock in narrowed(sort="price-rising").stocks(0, 100)]
    falling = [prices[stock] for stock in narrowed(sort="price-falling").stocks(0, 100)]
    known = sorted(price for price in prices.values() if price is not None)
    assert rising == [*known, None]
    assert falling == [*reversed(known), None]


def test_a_search_goes_by_the_best_match_unless_another_order_is_chosen(client: Client) -> None:
    body = InstrumentFactory(listed=True, story="Bluebell inside.", asking_price=900)
    name = InstrumentFactory(
        listed=True,
        model=ModelFactory(name="Bluebell"),
        asking_price=9000,
        listed_at=NOON - timedelta(days=90),
    )
    assert shown(client, q="bluebell") == [name.stock_id, body.stock_id]
    assert shown(client, q="bluebell", sort="newest") == [body.stock_id, name.stock_id]
    assert shown(client, q="bluebell", sort="price-rising") == [body.stock_id, name.stock_id]
    assert shown(client, q="bluebell", price_from="1000") == [name.stock_id]
    # without a search the best match is no order
    assert shown(client, sort="best") == [body.stock_id, name.stock_id]


def shown(client: Client, **query: str) -> list[int]:
    return [card.stock for card in client.get(reverse("catalogue"), query).context["cards"]]


def test_the_panel_counts_and_keeps_what_was_chosen(client: Client, stock: None) -> None:
    page = client.get(reverse("catalogue"), {"kind": "banjo", "decade": "1920"})
    parts = {part.name: part for part in page.context["parts"]}
    assert parts["kind"].chosen == "Banjos"
    assert [row.value for row in parts["kind"].rows if row.checked] == ["banjo"]
    assert all(row.many for part in parts.values() for row in part.rows)
    assert 'value="banjo" checked' in page.text
    assert 'href="/instruments/?kind=banjo"' in page.text, "what was chosen can be taken back"


def test_a_typing_error_is_told_and_a_lost_word_gets_near_ones(client: Client) -> None:
    InstrumentFactory(listed=True, story="A wheelwright made the case.")
    page = client.get(reverse("catalogue"), {"q": "wheelrwight"})
    assert "No page here says “wheelrwight”. We looked for “wheelwright” instead." in page.text
    page = client.get(reverse("catalogue"), {"q": "wheelbarrow", "kind": "banjo"})
    assert 'href="/instruments/?q=wheelwright&amp;kind=banjo">wheelwright</a>' in page.text
    assert page.context["looser"] == [("wheelbarrow", "/instruments/?kind=banjo", 1)]


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("kind", "zither"),
        ("decade", "1066"),
        ("new", "week"),
        ("made_as", "banjo"),
        ("sort", "odd"),
        ("originality", "x"),
    ],
)
def test_a_choice_that_is_not_there_says_so_and_chooses_nothing(
    client: Client, name: str, value: str
) -> None:
    piece = InstrumentFactory(listed=True)
    page = client.get(reverse("catalogue"), {name: value})
    assert [card.stock for card in page.context["cards"]] == [piece.stock_id]
    assert f"“{value}” cannot be chosen here now" in page.text


def test_a_maker_is_chosen_by_the_name_that_stands_in_addresses_and_by_a_former_one(client: Client) -> None:
    piece = InstrumentFactory(listed=True)
    other = InstrumentFactory(listed=True, model__maker__name=f"{piece.maker.name}!")
    first, second = (choice.value for choice in the_shelf().choices["maker"])
    assert second == f"{first}-2"
    assert shown(client, maker=first) == [piece.stock_id]
    assert shown(client, maker=second) == [other.stock_id]
    rename_maker(piece.maker, "Bluebell Works", was=piece.maker.name, by=None, at=NOON)
    answer = client.get(reverse("catalogue"), {"maker": first, "kind": "banjo"})
    assert (answer.status_code, answer["Location"]) == (301, "/instruments/?maker=bluebell-works&kind=banjo")
    assert shown(client, maker="bluebell-works") == [piece.stock_id]


def test_what_is_typed_is_not_read_as_markup(client: Client) -> None:
    InstrumentFactory(listed=True)
    page = client.get(reverse("catalogue"), {"q": "<b>corvane</b>", "maker": '"><script>'})
    assert "<b>corvane" not in page.text
    assert "<script>" not in page.text


def test_a_narrowed_page_asks_as_often_for_many_as_for_few(client: Client) -> None:
    address = "/instruments/?q=meadowlark+tennor&kind=banjo&availability=available&decade=1930&price_from=100&page=1"
    counts = []
    for _ in range(2):
        for _ in range(30):
            InstrumentFactory(listed=True)
        fill()
        the_shelf()
        with CaptureQueriesContext(connection) as seen:
            assert client.get(address + f"&again={len(counts)}").context["page_obj"].paginator.count
        counts.append(len(seen))
    assert counts[0] == counts[1] <= 16
