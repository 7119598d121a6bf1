"""Which words answer to which, and in which order the pieces come: values alone."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.search.bits import all_below, at_least, bits_at, places_in, slices_of
from catalog.search.rules import answers as answers_to
from catalog.search.rules import (
    asked_in,
    likeness,
    near,
    ranked,
    required,
    said_in,
    slips,
    suggestions,
    trigrams,
    words_of,
)

WORDS = st.text(alphabet="abcdenorstu", min_size=1, max_size=9)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Corvané & Sons’ No. 3", ["corvane", "sons", "no", "3"]),
        ("five-string", ["five", "string"]),
        ("4037-2", ["4037", "2"]),
        ("STRASSE Straße", ["strasse", "strasse"]),
        ("", []),
        ("“—” …", []),
    ],
)
def test_words_are_read_without_capitals_accents_and_marks(text: str, words: list[str]) -> None:
    assert words_of(text) == words


def test_trigrams_are_those_of_the_published_example() -> None:
    """PostgreSQL documentation, appendix F.35 (pg_trgm): the set of trigrams of “cat”."""
    assert trigrams("cat") == {"  c", " ca", "cat", "at "}


def test_likeness_is_that_of_the_published_example() -> None:
    """The same, on similarity(): “word” and “words” share four of six trigrams… counted by its definition."""
    assert trigrams("word") & trigrams("words") == {"  w", " wo", "wor", "ord"}
    assert likeness("word", "words") == pytest.approx(4 / 7)
    assert likeness("word", "word") == 1


@pytest.mark.parametrize(
    ("one", "other", "slip"),
    [
        ("banjo", "bnajo", True),
        ("banjo", "bajo", True),
        ("banjo", "banjoo", True),
        ("banjo", "bamjo", True),
        ("banjo", "abnjo", True),
        ("banjo", "banoj", True),
        ("banjo", "banjo", False),
        ("banjo", "bmjo", False),
        ("banjo", "nabjo", False),
        ("banjo", "banjoes", False),
    ],
)
def test_one_slip_is_a_letter_too_many_too_few_another_or_two_that_changed_places(
    one: str, other: str, slip: bool
) -> None:
    assert slips(one, other) == slips(other, one)
    assert (slips(one, other) == 1) is slip


KNOWN = [
    "banjo",
    "banjos",
    "banjoist",
    "mahogany",
    "maple",
    "tenor",
    "tenon",
    "corvane",
    "1927",
    "1928",
    "no",
]


@pytest.mark.parametrize(
    ("asked", "answering"),
    [
        ("banjo", {"banjo": 50, "banjos": 50, "banjoist": 30}),
        ("banjos", {"banjo": 50, "banjos": 50}),
        ("ban", {"banjo": 30, "banjos": 30, "banjoist": 30}),
        ("ba", {}),
        ("tenor", {"tenor": 50}),
        ("tenof", {"tenon": 14, "tenor": 14}),
        ("mahagony", {"mahogany": 12}),
        ("corvayne", {"corvane": 14}),
        ("1929", {}),
        ("1927", {"1927": 50}),
        ("rosewood", {}),
    ],
)
def test_the_word_itself_goes_before_its_beginning_and_a_typing_error_is_forgiven_last(
    asked: str, answering: dict[str, int]
) -> None:
    assert answers_to(asked, KNOWN) == answering


def test_a_word_lost_is_given_words_that_are_somewhat_like_it() -> None:
    assert suggestions(["mapel", "wood"][0], KNOWN) == ["maple"]
    assert suggestions("1929", KNOWN) == []
    assert suggestions("zither", ["father", "rather", "zithers"]) == ["zithers"]


def test_little_words_are_asked_for_only_among_themselves() -> None:
    assert required(asked_in("the banjo with a resonator")) == ["banjo", "resonator"]
    assert required(asked_in("No.")) == ["no"]
    assert said_in(["Style A"], ["a rim of maple"]) == {
        "style": True,
        "a": True,
        "rim": False,
        "maple": False,
    }


def test_best_first_and_of_equals_the_newest_number() -> None:
    points = {"maple": {5001: 50, 5002: 60, 5003: 60}, "rim": {5001: 60, 5002: 50, 5003: 50, 5004: 60}}
    assert ranked(["maple", "rim"], points) == [5003, 5002, 5001]
    assert ranked(["maple", "the"], points) == [5003, 5002, 5001]
    assert ranked([], points) == []
    assert ranked(["oak"], points) == []


@given(WORDS, WORDS)
def test_likeness_looks_both_ways_and_stays_between_nothing_and_one(one: str, other: str) -> None:
    assert likeness(one, other) == likeness(other, one)
    assert 0 <= likeness(one, other) <= 1
    assert (likeness(one, other) == 1) == (trigrams(one) == trigrams(other))


@given(WORDS, WORDS)
def test_what_is_near_shares_so_many_trigrams_that_both_databases_hand_it_over(one: str, other: str) -> None:
    if near(one, other):
        assert likeness(one, other) >= 0.1


@given(st.lists(WORDS, max_size=8), WORDS)
def test_only_words_that_are_said_answer(known: list[str], asked: str) -> None:
    assert set(answers_to(asked, known)) <= set(known)


@given(st.sets(st.integers(0, 200)))
def test_places_come_back_out_of_bits(places: set[int]) -> None:
    bits = bits_at(places, 201)
    assert list(places_in(bits)) == sorted(places)
    assert bits.bit_count() == len(places)
    assert bits & all_below(201) == bits


@given(st.lists(st.integers(1, 5000), max_size=40), st.integers(0, 6000))
def test_amounts_are_compared_figure_by_figure(amounts: list[int], least: int) -> None:
    placed = list(enumerate(amounts))
    slices, every = slices_of(placed, len(amounts)), all_below(len(amounts))
    expected = [place for place, amount in placed if amount >= least]
    assert list(places_in(at_least(slices, least, every))) == expected
