"""Finding pieces by words: the same pieces in the same order on both databases."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import (
    Finding,
    FoundNumber,
    Included,
    Instrument,
    KnownWord,
    Maker,
    Model,
    Part,
    Provenance,
)
from catalog.search.nearness import words_alike
from catalog.search.queries import found, search
from catalog.search.shelving import fill
from shop.models import ShopProfile
from tests.factories import NOON, InstrumentFactory, ShopFactory
from tests.support.canaries import planting
from tests.test_wall import assert_everything_private_is_planted
from tests.world import build_world

pytestmark = pytest.mark.django_db

FIRST, SECOND, THIRD, FOURTH, FIFTH = 7001, 7002, 7003, 7004, 7005


@pytest.fixture
def shop() -> ShopProfile:
    return ShopFactory()


@pytest.fixture
def stock(shop: ShopProfile) -> None:
    """Five pieces, whose words are known."""
    add(FIRST, "Corvane & Sons", "Meadowlark", story="The rim is of maple.")
    add(SECOND, "Corvane & Sons", "Meadowlark Special", story="A mahogany neck, and a case by Tarrow.")
    add(THIRD, "Tarrow", "Corvane pattern", story="Strung light.", setup="A maple bridge")
    add(FOURTH, "Tarrow", "Nightjar", story="Mahoganies of two kinds.", condition="A crack at the heel")
    add(FIFTH, "Ødegård", "Süßholz", story="Maplewood binding.")
    FoundNumber.objects.create(instrument=piece(FOURTH), value="4037-2", where="on the dowel stick")
    Included.objects.create(instrument=piece(FIRST), what="The first tuning wrench")
    Provenance.objects.create(instrument=piece(FIRST), when="1931", kind="sold-new", public="Sold in Quillby")
    rim = Part.objects.get(kind=piece(SECOND).kind, slug="rim")
    Finding.objects.create(
        instrument=piece(SECOND), part=rim, state="later", evidence="Stamped inside", note="By a wheelwright",
        examined_at=NOON,
    )  # fmt: skip
    fill()


def add(stock: int, maker: str, model: str, **fields: str) -> None:
    kept, _ = Maker.objects.get_or_create(name=maker)
    InstrumentFactory(
        listed=True,
        stock__number=stock,
        model=Model.objects.create(maker=kept, name=model),
        made_evidence="",
        **{"condition": "Clean.", **fields},
    )


def piece(stock: int) -> Instrument:
    return Instrument.objects.get(stock=stock)


EXPECTED = [
    # a word in the name goes before one on the page; of equals the newest number
    ("corvane", [THIRD, SECOND, FIRST]),
    ("tarrow", [FOURTH, THIRD, SECOND]),
    ("maple", [THIRD, FIRST, FIFTH]),  # the word before a word that begins with it
    ("mapl", [FIFTH, THIRD, FIRST]),
    ("meadowlark special", [SECOND]),
    ("meadowlark corvane", [SECOND, FIRST]),
    ("special meadowlark the", [SECOND]),
    # typing errors
    ("corvayne", [THIRD, SECOND, FIRST]),
    ("tarow", [FOURTH, THIRD, SECOND]),
    ("mahagony", [SECOND]),
    ("maedowlark", [SECOND, FIRST]),
    ("qillby", [FIRST]),
    # capitals, accents, marks, several
    ("ODEGARD", [FIFTH]),
    ("Ødegård", [FIFTH]),
    ("sussholz", [FIFTH]),
    ("wrenches", [FIRST]),
    ("banjos", [FIFTH, FOURTH, THIRD, SECOND, FIRST]),
    # numbers are meant as they are typed
    ("4037-2", [FOURTH]),
    ("4038", []),
    ("7003", [THIRD]),
    # all over the page
    ("wheelwright", [SECOND]),
    ("stamped", [SECOND]),
    ("heel crack", [FOURTH]),
    ("five string", [FIFTH, FOURTH, THIRD, SECOND, FIRST]),
    # nothing
    ("zither", []),
    ("corvane zither", []),
    ("", []),
    ("“", []),
    ('"corvane" OR tarrow', [THIRD, SECOND]),
    ("%", []),
    ("' ; --", []),
]


@pytest.mark.parametrize(("text", "expected"), EXPECTED, ids=[text or "nothing" for text, _ in EXPECTED])
def test_the_same_order_on_both_databases(stock: None, text: str, expected: list[int]) -> None:
    """Run on SQLite and on PostgreSQL: the table is the same."""
    assert found(text) == expected


def test_a_typing_error_is_told_and_a_lost_word_is_given_near_ones(stock: None) -> None:
    assert search("corvayne").read_as == {"corvayne": ["corvane"]}
    assert search("corvane").read_as == {}
    assert search("mapel zither").unknown == {"zither": []}
    assert search("wheelbarrow").unknown == {"wheelbarrow": ["wheelwright"]}


@pytest.mark.parametrize(
    "asked", ["corvayne", "abnjo", "banoj", "bajo", "bannjo", "qillby", "mahagony", "ncek", "enck"]
)
def test_each_database_hands_over_every_word_that_the_rule_accepts(stock: None, asked: str) -> None:
    from catalog.search.rules import near

    KnownWord.objects.get_or_create(word="neck")
    known = list(KnownWord.objects.values_list("word", flat=True))
    meant = {word for word in known if near(asked, word)}
    assert meant
    assert meant <= set(words_alike(asked))


def test_a_search_costs_the_same_number_of_queries_whatever_the_stock(stock: None) -> None:
    with CaptureQueriesContext(connection) as few:
        search("corvane mahagony")
    for number in range(60):
        add(8000 + number, "Corvane & Sons", f"Bluebell {number}", story="Mahogany throughout.")
    fill()
    with CaptureQueriesContext(connection) as many:
        search("corvane mahagony")
    assert len(few) == len(many)


def test_private_words_are_never_found(client: Client, shop: ShopProfile) -> None:
    with planting() as canaries:
        build_world()
    assert_everything_private_is_planted(canaries)
    fill()
    planted = {canary for some in canaries.planted.values() for canary in some}
    known = set(KnownWord.objects.values_list("word", flat=True))
    assert known
    assert not {canary.lower() for canary in planted} & known
    assert not [word for word in known if "cnry" in word or word.startswith("7600")]
    for canary in sorted(planted)[:40]:
        assert found(canary) == []
        assert client.get(reverse("catalogue"), {"q": canary}).context["cards"] == []


def test_a_name_without_consent_is_not_found(client: Client, shop: ShopProfile) -> None:
    world = build_world()
    world.listed.provenance.filter(kind="owned").update(person="Orla Vandemoor")
    fill()
    assert found("Vandemoor") == []


@pytest.mark.parametrize("state", ["draft", "withdrawn"])
def test_what_is_not_listed_is_not_found(shop: ShopProfile, state: str) -> None:
    InstrumentFactory(state=state, story="Nightingale")
    InstrumentFactory(sold=True, story="Nightingale")
    fill()
    assert found("nightingale") == []
    assert not KnownWord.objects.filter(word="nightingale").exists()
