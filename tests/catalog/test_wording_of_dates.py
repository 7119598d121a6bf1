"""Dates are said in whole messages, so that another language can say them in its own order."""

import re

import pytest

from catalog.dating.reading import read_date, typed_as_said, understood
from catalog.dating.saying import as_said
from tests.catalog.test_dating_reading import READINGS
from tests.support.pseudo import in_brackets, one_message

FIGURES = re.compile(r"[0-9]{4}")


@pytest.mark.parametrize(("typed", "words"), [(reading[0], reading[-1]) for reading in READINGS])
def test_what_is_understood_is_one_message(typed: str, words: str) -> None:
    with in_brackets():
        said = understood(read_date(typed))
    assert one_message(said) or FIGURES.fullmatch(said), said
    assert understood(read_date(typed)) == words, "no language is kept for the next reader"


@pytest.mark.parametrize("typed", [reading[0] for reading in READINGS])
def test_a_buyer_reads_the_dealers_own_words_or_one_message(typed: str) -> None:
    made = read_date(typed)
    assert as_said(typed, made.edtf) == typed
    with in_brackets():
        said = as_said(typed, made.edtf)
    assert one_message(said) or FIGURES.fullmatch(said), said
    assert "shop" not in said, "the shop’s notes are for the desk"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("1927", "1927"),
        ("c. 1931", "⟦about 1931⟧"),
        ("probably c. 1927", "⟦probably about 1927⟧"),
        ("The late 1920s", "⟦late 1920s⟧"),
        ("mid-1920s", "⟦mid-1920s⟧"),
        ("1920s", "⟦the 1920s⟧"),
        ("not before 1919", "⟦1919 or later⟧"),
        ("after 1919", "⟦1919 or later⟧"),
        ("before 1941", "⟦1941 or earlier⟧"),
        ("since 1950", "⟦from 1950 on⟧"),
        ("Fall of 1927", "⟦autumn 1927⟧"),
        ("May 12, 1927", "⟦12 ⟦May⟧ 1927⟧"),
        ("1925-28", "⟦from 1925 to 1928⟧"),
        ("1929, 1927 or 1928", "⟦1927, 1928 or 1929⟧"),
    ],
)
def test_in_another_language_the_date_is_said_from_what_it_means(typed: str, said: str) -> None:
    made = read_date(typed)
    with in_brackets():
        assert as_said(typed, made.edtf) == said


def test_what_was_never_read_is_shown_as_typed() -> None:
    with in_brackets():
        assert as_said("before the war", "") == "before the war"
        assert [typed_as_said(typed) for typed in ("before the war", "", "1927")] == [
            "before the war",
            "",
            "1927",
        ]


def test_a_date_that_was_kept_as_typed_is_read_for_the_buyer() -> None:
    assert typed_as_said("c. 1960") == "c. 1960"
    with in_brackets():
        assert typed_as_said("c. 1960") == "⟦about 1960⟧"
