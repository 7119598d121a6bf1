"""The lines of the speaker's sheet: what they say, in which order, and whether they fit one page."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.public.shown.wording import shortened
from catalog.speaking.rules import (
    KEYS,
    MOST,
    Drawn,
    Kept,
    Line,
    Told,
    default_lines,
    in_order,
    merged,
    moved,
    size,
)

FULL = Told(
    name="No. 147: Corvane & Sons Meadowlark No. 3, c. 1931",
    setout="Banjo, five-string",
    made_as="Tenor",
    dated="Rim number within the run of 1931",
    grade="Excellent",
    grade_meaning="Light, even wear from careful playing.",
    condition="Light wear to the rim; no cracks.",
    word="Original body with replaced neck",
    exceptions=["The neck is a later replacement; the original comes with it."],
    rare=[
        Drawn("One of forty made (Ledger of the works, page 41)", "claims", "#id_claim_1"),
        Drawn("Tailpiece: engraved, factory work", "unusual", "#thing-1"),
    ],
    oddities=[Drawn("Serial number 4417, on the rim: faint", "numbers", "#id_numbers-0-value")],
    included=["Original hard case", "First neck", "Bill of sale of 1931"],
    setup="Strung with light strings",
    story="Found in a farmhouse attic.",
    price="$12,500",
)

# Common practice, no source: the order in which a piece is told, and full sentences to read out.
EXPECTED = [
    (
        "What it is",
        "No. 147: Corvane & Sons Meadowlark No. 3, c. 1931. Banjo, five-string. Made as tenor. "
        "Rim number within the run of 1931.",
    ),
    (
        "Why it is rare",
        "One of forty made (Ledger of the works, page 41). Tailpiece: engraved, factory work.",
    ),
    ("Condition", "Excellent: light, even wear from careful playing. Light wear to the rim; no cracks."),
    (
        "Originality",
        "Original body with replaced neck. The neck is a later replacement; the original comes with it.",
    ),
    ("What comes with it", "Original hard case, first neck and bill of sale of 1931."),
    ("Oddities", "Serial number 4417, on the rim: faint."),
    ("Set-up", "Strung with light strings."),
    ("How it sounds", ""),
    ("Story", "Found in a farmhouse attic."),
    ("Price", "$12,500."),
]


def test_the_lines_as_the_record_gives_them() -> None:
    assert [(line.label, line.words) for line in default_lines(FULL)] == EXPECTED


def test_what_the_record_does_not_say_gives_no_words() -> None:
    assert [line.key for line in default_lines(Told(name="No. 147: Unidentified banjo")) if line.words] == [
        "what"
    ]


@pytest.mark.parametrize(
    ("included", "said"),
    [
        ([], ""),
        (["Hard case"], "Hard case."),
        (["Hard case", "Strap"], "Hard case and strap."),
        (["Hard case", "Strap", "Key"], "Hard case, strap and key."),
    ],
)
def test_what_comes_with_it_is_one_sentence(included: list[str], said: str) -> None:
    told = Told(name="x", included=included)
    assert next(line.words for line in default_lines(told) if line.key == "included") == said


KEPT_ORDERS = [
    ([], list("abcd")),
    ([("c", 2)], list("abcd")),
    ([("d", 0), ("a", 1), ("b", 2), ("c", 3)], list("dabc")),
    ([("d", 0), ("a", 1), ("c", 2)], list("dabc")),
    ([("b", 0)], list("abcd")),
    ([("gone", 0), ("b", 1), ("a", 2)], list("bcda")),
]


@pytest.mark.parametrize(("kept", "order"), KEPT_ORDERS)
def test_the_kept_order_holds_and_a_new_line_follows_the_one_before_it(
    kept: list[tuple[str, int]], order: list[str]
) -> None:
    assert in_order("abcd", [Kept(key, place) for key, place in kept]) == order


@pytest.mark.parametrize(
    ("key", "places", "order"),
    [("b", -1, "bacd"), ("b", 1, "acbd"), ("a", -1, "abcd"), ("d", 1, "abcd"), ("a", 9, "bcda")],
)
def test_a_line_is_moved_and_stops_at_either_end(key: str, places: int, order: str) -> None:
    assert moved("abcd", key, places) == list(order)


@given(st.permutations(KEYS), st.sampled_from(KEYS), st.integers(-12, 12))
def test_moving_loses_no_line_and_keeps_the_others_in_order(order: list[str], key: str, places: int) -> None:
    after = moved(order, key, places)
    assert [name for name in after if name != key] == [name for name in order if name != key]
    assert sorted(after) == sorted(KEYS)


@given(st.lists(st.tuples(st.sampled_from(KEYS), st.integers(0, 20)), unique_by=lambda row: row[0]))
def test_every_line_stands_once_whatever_is_kept(rows: list[tuple[str, int]]) -> None:
    assert sorted(in_order(KEYS, [Kept(key, place) for key, place in rows])) == sorted(KEYS)


def test_own_words_stand_before_the_records_and_say_when_the_record_has_changed() -> None:
    line = Line("setup", "Set-up", "Strung with heavy strings.", "setup", "")
    same = Kept("setup", 6, "Light strings, low action.", from_record="Strung with heavy strings.")
    older = Kept("setup", 6, "Light strings, low action.", from_record="Strung with light strings.")
    moved_only = Kept("setup", 0, from_record="Strung with light strings.")
    found = [merged([line], [kept])[0] for kept in (same, older, moved_only)]
    assert [(one.words, one.own, one.changed) for one in found] == [
        ("Light strings, low action.", True, False),
        ("Light strings, low action.", True, True),
        ("Strung with heavy strings.", False, False),
    ]


def test_a_line_is_never_longer_than_one_breath() -> None:
    long = Told(name="x" * 900, condition="A word. " * 200, story="word " * 400, included=["thing"] * 200)
    assert [line.key for line in default_lines(long) if len(line.words) > MOST[line.key]] == []


SHORTENED = [
    ("Short enough.", 20, "Short enough."),
    ("One sentence. Another one. A third.", 30, "One sentence. Another one. …"),
    ("A long sentence without an end in sight", 20, "A long sentence …"),
    ("Mr. X had it for as long as anybody knew", 24, "Mr. X had it for as …"),
    ("unbroken" * 10, 10, "unbroken …"),
    ("  ", 10, ""),
]


@pytest.mark.parametrize(("text", "most", "kept"), SHORTENED)
def test_a_long_text_ends_with_a_sentence_or_a_word(text: str, most: int, kept: str) -> None:
    assert shortened(text, most) == kept


@given(st.text(), st.integers(4, 400))
def test_a_shortened_text_fits_and_shows_that_it_was_cut(text: str, most: int) -> None:
    kept = shortened(text, most)
    assert len(kept) <= most
    assert kept == text.strip() or kept.endswith("…")


@pytest.mark.parametrize(
    ("length", "name"),
    [(100, "large"), (101, "middle"), (190, "middle"), (191, "small"), (290, "small"), (291, "least")],
)
def test_the_more_there_is_to_read_the_smaller_it_is_printed(length: int, name: str) -> None:
    lines = [Line(key, key, "x" * length, "", "") for key in KEYS]
    assert size(merged(lines, [])) == name


def test_capitals_count_for_more() -> None:
    lines = [Line(key, key, "X" * 100, "", "") for key in KEYS]
    assert size(merged(lines, [])) == "middle"
