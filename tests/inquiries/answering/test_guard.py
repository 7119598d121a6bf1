"""What must not go out: tables of what is found and what is not, and properties that must hold for it."""

import string
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inquiries.answering.guard import Known, Private, Why, private_places
from tests.inquiries.answering.writings import WRITINGS

PRIVATE = Private(
    figures=frozenset(map(Decimal, ["9000", "120", "9876.54", "1931", "10000"])),
    shares=frozenset({Decimal(15)}),
    names=(
        "Cole O’Dell-Withers",
        "Mrs. Odéll Marsh",
        "Harrow & Sons",
        "Rose",
        "a machinist in town",
        "x",
        "",
    ),
    addresses=frozenset({"cole@post.example"}),
    telephones=frozenset({"+14105550147", "(443) 555 0199"}),
    notes=("He wants to be rid of it before the spring, so be quick.", "Too short"),
)
KNOWN = Known(
    figures=frozenset({Decimal(12500), Decimal(10000)}),
    shares=frozenset({Decimal(20)}),
    words="Nell Tarrow asks of the Meadowlark, made c. 1931 and sold by Quill & Sons. No. 5001",
    addresses=frozenset({"nell@post.example"}),
    telephones=frozenset({"+1 410 555 0100"}),
)


def found(text: str, private: Private = PRIVATE, known: Known = KNOWN) -> list[str]:
    """The words found, as they stand."""
    return [text[place.start : place.end] for place in private_places(text, private, known)]


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("I want 12,500, not 9000.", ["9000"]),
        ("I gave nine thousand for it.", ["nine thousand"]),
        ("It stands me in $9k.", ["$9k"]),
        ("9 876,54 or 9,877 or 9876", ["9 876,54", "9,877", "9876"]),
        ("$1,931 is what it cost", ["$1,931"]),
        ("the set-up cost me 120", ["120"]),
        ("the set-up was $120", ["$120"]),
        ("my share is 15 % of it", ["15 %"]),
        ("fifteen per cent is mine", ["fifteen per cent"]),
        ("cole o'dell withers sold it to me", ["cole o'dell withers"]),
        ("COLE O’DELL‑WITHERS’ banjo", ["COLE O’DELL‑WITHERS"]),
        ("Co\u00adle ODell\u2011Withers", ["Co\u00adle ODell\u2011Withers"]),
        ("It was Withers's banjo", ["Withers's"]),
        ("Mrs. Odell Marsh had it", ["Odell Marsh"]),
        ("from Ode\u0301ll Marsh", ["Ode\u0301ll Marsh"]),
        ("Ask Marsh.", ["Marsh"]),
        ("Rose had it", ["Rose"]),
        ("from Harrow and Sons; from Harrow & Sons", ["Harrow & Sons"]),
        ("write to Cole@Post.Example.", ["Cole@Post.Example"]),
        ("write to cole (at) post.example", ["cole (at) post.example"]),
        ("ring (410) 555-0147 today", ["410) 555-0147"]),
        ("ring +1 410 555 0147", ["+1 410 555 0147"]),
        ("ring 443.555.0199", ["443.555.0199"]),
        ("The owner wants to be rid of it before long", ["wants to be rid of it before"]),
    ],
)
def test_what_is_private_is_found_where_it_stands(text: str, places: list[str]) -> None:
    assert found(text) == places


@pytest.mark.parametrize(
    "text",
    [
        "The price is $12,500, that is 12.5k or twelve thousand five hundred.",
        "Ten thousand was your own offer, Nell Tarrow.",
        "It was made in 1931, and it has 120 hooks and twenty-two frets.",
        "Dear Nell, dear Ms Tarrow,",
        "The deposit is 20 per cent.",
        "It stood in a marsh, among roses, and x marks the spot.",
        "The rosewood withers; sons of Quill & Sons sold it.",
        "Write to nell@post.example or ring +1 410 555 0100.",
        "I want to be rid of my cold before the spring.",
        "It weighs 9,000 g and is 9000 mm long.",
        "The price is $12,500, and it has 120 hooks.",
        "Agreed at 12,200, with 120 for two-day air.",
        "Copied by a machinist in town.",
        "Too short",
        "No. 5001, at $12,500.00",
        "",
    ],
)
def test_what_this_person_may_read_is_let_through(text: str) -> None:
    assert found(text) == []


def test_a_figure_that_is_the_price_too_is_public() -> None:
    assert found("It is $9,000.", known=KNOWN._replace(figures=frozenset({Decimal(9000)}))) == []


def test_a_share_that_is_public_too_stays_in_the_house_where_commission_is_spoken_of() -> None:
    private = PRIVATE._replace(shares=frozenset({Decimal(20)}))
    assert found("The deposit is 20 per cent.", private) == []
    assert found("My commission is 20 per cent.", private) == ["20 per cent"]


def test_words_said_between_both_may_be_said_again_and_names_may_not() -> None:
    said = KNOWN._replace(said="Does Cole O’Dell-Withers say he wants to be rid of it before the spring?")
    assert found("You wrote: he wants to be rid of it before the spring.", known=said) == []
    assert found("Yes, from Cole O’Dell-Withers.", known=said) == ["Cole O’Dell-Withers"]


def test_each_place_says_why_and_never_more_than_stands_there() -> None:
    text = "9000, Marsh, cole@post.example, +14105550147, wants to be rid of it"
    places = private_places(text, PRIVATE, KNOWN)
    assert [place.why for place in places] == [Why.FIGURE, Why.NAME, Why.ADDRESS, Why.TELEPHONE, Why.NOTE]
    assert not any(
        word in place.why.value for place in places for word in ("floor", "seller", "9000", "Marsh")
    )


WORDS = st.lists(
    st.sampled_from(["the", "banjo", "is", "here", "and", "so", "are", "you", "my", "dear", "friend"]),
    max_size=6,
)


@given(
    amount=st.integers(1000, 9_999_999),
    writing=st.sampled_from(sorted(WRITINGS)),
    before=WORDS,
    after=WORDS,
    public=st.integers(1000, 9_999_999),
)
def test_a_private_amount_is_found_in_any_writing(
    amount: int, writing: str, before: list[str], after: list[str], public: int
) -> None:
    assume(amount != public)
    written = WRITINGS[writing](amount)
    text = " ".join([*before, "–", written, "–", *after])
    private, known = (
        Private(figures=frozenset({Decimal(amount)})),
        Known(figures=frozenset({Decimal(public)})),
    )
    places = private_places(text, private, known)
    assert len(places) == 1
    assert text[places[0].start : places[0].end] in written


@given(
    amount=st.integers(1, 999),
    writing=st.sampled_from(sorted(set(WRITINGS) - {"in thousands, with a comma"})),
)
def test_a_small_private_amount_is_found_where_it_is_written_as_money(amount: int, writing: str) -> None:
    text = f"Well, it cost {WRITINGS[writing](amount)} then."
    assert found(text, Private(figures=frozenset({Decimal(amount)})), Known())


@given(amount=st.integers(1, 9_999_999), writing=st.sampled_from(sorted(WRITINGS)))
def test_the_price_is_never_stopped(amount: int, writing: str) -> None:
    private = Private(figures=frozenset({Decimal(amount), Decimal(amount) + 1}))
    known = Known(figures=frozenset({Decimal(amount)}))
    assert found(f"The price is {WRITINGS[writing](amount)}.", private, known) == []


NAMES = st.text(string.ascii_lowercase, min_size=4, max_size=9)


@given(
    first=NAMES,
    last=NAMES,
    shape=st.sampled_from([str.upper, str.lower, str.title]),
    joint=st.sampled_from([" ", "\u00a0", "  ", "\n", "-", "\u2011", " \u00ad"]),
)
def test_a_whole_name_is_found_in_any_case_and_spacing(
    first: str, last: str, shape: object, joint: str
) -> None:
    written = f"{shape(first)}{joint}{shape(last)}"  # type: ignore[operator]
    text = f"12 {written}, 13"
    assert found(text, Private(names=(f"{first.title()} {last.title()}",)), Known())[0].startswith(
        written[:4]
    )


@given(st.text(max_size=200))
def test_any_text_is_read_and_its_places_lie_in_it_and_apart(text: str) -> None:
    places = private_places(text, PRIVATE, KNOWN)
    assert all(0 <= place.start < place.end <= len(text) for place in places)
    assert all(one.end <= other.start for one, other in pairwise(places))
    assert not private_places(text, Private(), Known())
