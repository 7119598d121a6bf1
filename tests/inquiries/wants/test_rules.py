"""Which piece meets a wish, and in what order those who seek it stand (common practice, no source)."""

from dataclasses import fields, replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.originality.rules import WORDS, Word
from inquiries.wants.rules import (
    ORDER,
    Answer,
    Match,
    Named,
    Piece,
    Reason,
    Wish,
    match,
    place,
    reasons_of,
    span,
)
from shop.money import Money

TODAY = date(2026, 6, 10)
BANJO, GUITAR = Named(1, "Banjo"), Named(2, "Flat-top guitar")
CORVANE, TESSEL = Named(1, "Corvane & Sons"), Named(2, "Tessel")
LARK, WREN = Named(1, "Corvane & Sons Lark"), Named(2, "Corvane & Sons Wren")
TENOR, FIVE = Named(1, "Tenor"), Named(2, "Five-string")


def dollars(amount: int) -> Money:
    return Money(Decimal(amount), "USD")


PIECE = Piece(
    kind=BANJO,
    maker=CORVANE,
    model=LARK,
    stands=FIVE,
    made_as=TENOR,
    made="about 1931",
    earliest=1931,
    latest=1931,
    word=Word.REFINISHED,
    word_said="Refinished",
    price=dollars(4500),
)
YES, PERHAPS, NO = Answer.MET, Answer.PERHAPS, Answer.CONTRADICTED


@pytest.mark.parametrize(
    ("wish", "piece", "answer", "says"),
    [
        ({"kind": BANJO}, {}, YES, "It is of the kind sought: Banjo."),
        ({"kind": GUITAR}, {}, NO, "Flat-top guitar is sought; it is Banjo."),
        ({"maker": CORVANE}, {}, YES, "It is by the maker sought: Corvane & Sons."),
        ({"maker": TESSEL}, {}, NO, "Tessel is sought; it is Corvane & Sons."),
        ({"maker": TESSEL}, {"maker": None}, PERHAPS, "Who made it is not known."),
        ({"model": LARK}, {}, YES, "It is the model sought: Corvane & Sons Lark."),
        ({"model": WREN}, {"model": None}, PERHAPS, "Its model is not known."),
        ({"configuration": FIVE}, {}, YES, "It stands in the configuration sought: Five-string."),
        ({"configuration": TENOR}, {}, YES, "It was made in the configuration sought: Tenor."),
        (
            {"configuration": Named(3, "Plectrum")},
            {},
            NO,
            "Plectrum is sought; it neither was made nor stands as that.",
        ),
        (
            {"configuration": TENOR},
            {"made_as": None},
            PERHAPS,
            "Tenor is sought; its configuration as made is not known.",
        ),
        ({"made_from": 1925, "made_to": 1935}, {}, YES, "Made about 1931, within 1925 to 1935."),
        ({"made_from": 1925}, {}, YES, "Made about 1931, within 1925 and after."),
        ({"made_to": 1930}, {}, NO, "Made about 1931; sought is up to 1930."),
        ({"made_from": 1932}, {}, NO, "Made about 1931; sought is 1932 and after."),
        (
            {"made_from": 1925, "made_to": 1931},
            {"made": "1929 to 1933", "earliest": 1929, "latest": 1933},
            YES,
            "Made 1929 to 1933, which reaches into 1925 to 1931.",
        ),
        (
            {"made_from": 1925, "made_to": 1935},
            {"made": "not before 1930", "earliest": 1930, "latest": None},
            PERHAPS,
            "Made not before 1930: perhaps within 1925 to 1935.",
        ),
        (
            {"made_from": 1925},
            {"made": "not before 1930", "earliest": 1930, "latest": None},
            YES,
            "Made not before 1930, within 1925 and after.",
        ),
        (
            {"made_from": 1925},
            {"made": "", "earliest": None, "latest": None},
            PERHAPS,
            "When it was made is not known; sought is 1925 and after.",
        ),
        (
            {"word": Word.REFINISHED, "word_said": "refinished"},
            {},
            YES,
            "Refinished; sought is at least: refinished.",
        ),
        (
            {"word": Word.BUT_FOR, "word_said": "original but for …"},
            {"word": Word.NOT_FULLY, "word_said": "Not fully examined"},
            NO,
            "Not fully examined; sought is at least: original but for ….",
        ),
        (
            {"word": Word.FULLY, "word_said": "fully original"},
            {"word": None},
            PERHAPS,
            "Its originality is not known; sought is at least: fully original.",
        ),
        ({"price": dollars(4500)}, {}, YES, "It costs $4,500.00, within $4,500.00."),
        ({"price": dollars(4499)}, {}, NO, "It costs $4,500.00; sought is up to $4,499.00."),
        (
            {"price": dollars(1)},
            {"price": None},
            PERHAPS,
            "The price is not set yet; sought is up to $1.00.",
        ),
        (
            {"price": dollars(1)},
            {"price": None, "on_request": True},
            PERHAPS,
            "The price is on request; sought is up to $1.00.",
        ),
        (
            {"price": Money(Decimal(1), "EUR")},
            {},
            PERHAPS,
            "It costs $4,500.00, and €1.00 are another currency.",
        ),
    ],
)
def test_each_thing_that_is_stated(
    wish: dict[str, Any], piece: dict[str, Any], answer: Answer, says: str
) -> None:
    (reason,) = reasons_of(Wish(**wish), replace(PIECE, **piece))
    assert (reason.answer, reason.says.replace(".00", "")) == (answer, says.replace(".00", ""))
    found = match(Wish(**wish), replace(PIECE, **piece), today=TODAY)
    assert (found is None) == (answer == NO)
    assert found is None or found.met == (answer == YES)


@pytest.mark.parametrize(
    ("until", "meets"), [(TODAY, True), (TODAY - timedelta(days=1), False), (None, True)]
)
def test_a_wish_ends_with_its_last_day(until: date | None, meets: bool) -> None:
    assert (match(Wish(until=until), PIECE, today=TODAY) is not None) == meets


def test_a_wish_that_states_nothing_is_met_by_everything_and_says_so() -> None:
    found = match(Wish(), PIECE, today=TODAY)
    assert found is not None
    assert (found.met, found.sentences) == (0, ["The wish leaves everything open."])


def test_who_hears_first() -> None:
    def of(met: int) -> Match:
        return Match((Reason(YES, ""),) * met + (Reason(PERHAPS, ""),))

    noon = datetime(2026, 6, 10, 12, tzinfo=UTC)
    seekers = {
        "later": (of(2), noon, 3),
        "much met": (of(3), noon, 9),
        "earlier": (of(2), noon - timedelta(days=1), 4),
        "same instant": (of(2), noon, 4),
        "little met": (of(0), noon - timedelta(days=900), 1),
    }
    order = sorted(seekers, key=lambda name: place(*seekers[name]))
    assert order == ["much met", "earlier", "later", "same instant", "little met"]


@pytest.mark.parametrize(
    ("first", "last", "says"),
    [
        (1925, 1935, "1925 to 1935"),
        (1925, None, "1925 and after"),
        (None, 1935, "up to 1935"),
        (1931, 1931, "1931"),
    ],
)
def test_years_in_words(first: int | None, last: int | None, says: str) -> None:
    assert span(first, last) == says


def named(*names: Named) -> st.SearchStrategy[Named | None]:
    return st.sampled_from([None, *names])


YEARS = st.none() | st.integers(1900, 1906)
MONEY = st.none() | st.builds(
    Money, st.sampled_from([Decimal(n) for n in range(1, 6)]), st.sampled_from(["USD", "EUR"])
)
A_WORD = st.none() | st.sampled_from(list(Word))


@st.composite
def wishes(draw: st.DrawFn) -> Wish:
    years = [draw(YEARS), draw(YEARS)]
    if None not in years:
        years.sort(key=lambda year: year or 0)
    return Wish(
        kind=draw(named(BANJO, GUITAR)),
        maker=draw(named(CORVANE, TESSEL)),
        model=draw(named(LARK, WREN)),
        configuration=draw(named(TENOR, FIVE)),
        made_from=years[0],
        made_to=years[1],
        word=draw(A_WORD),
        price=draw(MONEY),
        until=draw(st.none() | st.sampled_from([TODAY, TODAY - timedelta(days=1)])),
    )


@st.composite
def pieces(draw: st.DrawFn) -> Piece:
    years = [draw(YEARS), draw(YEARS)]
    if None not in years:
        years.sort(key=lambda year: year or 0)
    return Piece(
        kind=draw(st.sampled_from([BANJO, GUITAR])),
        maker=draw(named(CORVANE, TESSEL)),
        model=draw(named(LARK, WREN)),
        stands=draw(named(TENOR, FIVE)),
        made_as=draw(named(TENOR, FIVE)),
        earliest=years[0],
        latest=years[1],
        word=draw(A_WORD),
        word_said="",
        price=draw(MONEY),
    )


@given(wishes(), pieces(), st.sets(st.sampled_from([field.name for field in fields(Wish)])))
def test_stating_less_never_loses_a_match(wish: Wish, piece: Piece, left_out: set[str]) -> None:
    if match(wish, piece, today=TODAY) is not None:
        assert match(replace(wish, **dict.fromkeys(left_out)), piece, today=TODAY) is not None


@given(wishes(), pieces(), st.sampled_from(list(Word)), st.integers(0, 4))
def test_a_better_piece_never_ranks_lower(wish: Wish, piece: Piece, word: Word, less: int) -> None:
    """Better: a word that stands no lower, a price that is no higher."""
    better = piece
    if piece.word is not None and ORDER[word] <= ORDER[piece.word]:
        better = replace(better, word=word)
    if piece.price is not None:
        better = replace(
            better, price=Money(max(piece.price.amount - less, Decimal(1)), piece.price.currency)
        )
    before, after = match(wish, piece, today=TODAY), match(wish, better, today=TODAY)
    if before is not None:
        assert after is not None
        assert after.met >= before.met


@given(wishes(), pieces(), pieces())
def test_what_is_not_known_never_counts_as_met(wish: Wish, piece: Piece, other: Piece) -> None:
    """Learning what was unknown can only add to what is met, or contradict the wish."""
    learnt = {
        field.name: getattr(other, field.name)
        for field in fields(Piece)
        if getattr(piece, field.name) is None and field.name not in {"earliest", "latest"}
    }
    before, after = match(wish, piece, today=TODAY), match(wish, replace(piece, **learnt), today=TODAY)
    assert before is not None or after is None
    if before is not None and after is not None:
        assert after.met >= before.met


@given(pieces())
def test_a_piece_of_which_nothing_is_known_but_its_kind_is_only_perhaps_what_is_sought(piece: Piece) -> None:
    bare = Piece(kind=piece.kind)
    wish = Wish(
        kind=piece.kind,
        maker=CORVANE,
        model=LARK,
        configuration=TENOR,
        made_from=1900,
        word=Word.ASSEMBLED,
        word_said=str(WORDS[Word.ASSEMBLED]),
        price=dollars(1),
    )
    found = match(wish, bare, today=TODAY)
    assert found is not None
    assert [reason.answer for reason in found.reasons] == [YES, *[PERHAPS] * 6]
