"""What is usual against what is seen: the comparison, its tolerances, and whose verdict counts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.features.rules import (
    Agreed,
    Comparison,
    Difference,
    Judged,
    NotSeen,
    Usual,
    check_value,
    compare,
    is_usual,
    same,
)
from shop.units import UnreadableMeasure

BOOK = "Catalogue of 1927"
TAILPIECE = Usual("Tailpiece", "Plain, nickel-plated", BOOK)
SCALE = Usual("Scale length", "26 1/4 in", BOOK, quantity="length")
WORDS = st.text(st.characters(categories=["L", "N", "Zs"]), min_size=1, max_size=20).filter(str.strip)
USUAL = st.builds(
    Usual,
    what=st.sampled_from(["Tailpiece", "Rim", "Frets"]),
    value=st.one_of(WORDS, st.sampled_from(["22", "20 to 22", "26 1/4 in", "6 lb 3 oz"])),
    source=st.just(BOOK),
    earliest=st.one_of(st.none(), st.integers(1900, 1930)),
    latest=st.one_of(st.none(), st.integers(1930, 1940)),
    quantity=st.sampled_from(["", "length", "mass", "count", "choice"]),
)


@pytest.mark.parametrize(
    ("quantity", "usual", "seen", "agrees"),
    [
        # Words, whatever their capitals and spaces.
        ("", "Plain, nickel-plated", "plain,  nickel-plated", True),
        ("", "Plain, nickel-plated", "Plain, gold-plated", False),
        ("choice", "Mahogany", "mahogany", True),
        ("choice", "Mahogany", "Maple", False),
        # A length may differ by 1/16 inch either way, in any unit.
        ("length", "26 1/4 in", "26¼ in (667 mm)", True),
        ("length", "26 1/4 in", "26 5/16 in", True),
        ("length", "26 1/4 in", "26 3/16 in", True),
        ("length", "26 1/4 in", "26 21/64 in", False),
        ("length", "26 1/4 in", "26 11/64 in", False),
        ("length", "26 1/4 in", "668.3 mm", True),
        ("length", "26 1/4 in", "668.4 mm", False),
        ("length", "26 to 26 1/2 in", "26 1/4 in", True),
        ("length", "26 to 26 1/2 in", "25 15/16 in", True),
        ("length", "26 to 26 1/2 in", "26 9/16 in", True),
        ("length", "26 to 26 1/2 in", "26 5/8 in", False),
        ("length", "26–26½ in (660 to 673 mm)", "673 mm", True),
        # A weight may differ by 2 per cent of the usual one.
        ("mass", "5 kg", "5.1 kg", True),
        ("mass", "5 kg", "5101 g", False),
        ("mass", "5 kg", "4.9 kg", True),
        ("mass", "5 kg", "4899 g", False),
        ("mass", "6 to 6.5 lb", "6 lb 4 oz", True),
        ("mass", "6 to 6.5 lb", "7 lb", False),
        # A count not at all.
        ("count", "22", "22", True),
        ("count", "22", "21", False),
        ("count", "20 to 22", "21", True),
        ("count", "20 to 22", "23", False),
        # What cannot be read as a measure is compared by its words.
        ("length", "short", "Short", True),
        ("length", "short", "26 1/4 in", False),
    ],
)
def test_what_counts_as_usual(quantity: str, usual: str, seen: str, agrees: bool) -> None:
    """The tolerances are common practice, no source."""
    assert is_usual(seen, [Usual("It", usual, BOOK, quantity=quantity)]) is agrees


def test_each_thing_differs_agrees_or_is_not_seen_in_the_order_of_the_list() -> None:
    frets = Usual("Frets", "22", BOOK, quantity="count")
    found = compare([TAILPIECE, SCALE, frets], {"tailpiece ": "Pierced", "Frets": "22"}, {}, 1927, 1927)
    assert found == Comparison(
        differences=[Difference("Tailpiece", (TAILPIECE,), "Pierced")],
        agreements=[Agreed("Frets", (frets,), "22")],
        not_seen=[NotSeen("Scale length", (SCALE,))],
    )


def test_several_values_of_one_thing_are_alternatives() -> None:
    gold = TAILPIECE._replace(value="Plain, gold-plated")
    assert compare([TAILPIECE, gold], {"Tailpiece": "plain, gold-plated"}, {}, None, None).differences == []
    [differs] = compare([TAILPIECE, gold], {"Tailpiece": "pierced"}, {}, None, None).differences
    assert differs.usual == (TAILPIECE, gold)


@pytest.mark.parametrize(
    ("years", "made", "in_force"),
    [
        ((None, None), (1927, 1927), True),
        ((1925, 1928), (1928, 1931), True),
        ((1925, 1928), (1929, 1931), False),
        ((1925, 1928), (1920, 1924), False),
        ((1925, None), (1920, 1924), False),
        ((None, 1928), (1929, None), False),
        ((1925, 1928), (None, None), True),  # the date is not known: nothing is ruled out
        ((1925, 1928), (None, 1925), True),
    ],
)
def test_only_what_was_usual_in_its_years_counts(
    years: tuple[int | None, int | None], made: tuple[int | None, int | None], in_force: bool
) -> None:
    row = TAILPIECE._replace(earliest=years[0], latest=years[1])
    found = compare([row], {"Tailpiece": "Pierced"}, {}, *made)
    assert bool(found.differences) is in_force
    assert found.not_seen == []


def test_a_verdict_counts_for_the_value_it_speaks_of_and_no_other() -> None:
    verdict = Judged("Pierced", "factory", "In the order book")
    [differs] = compare([TAILPIECE], {"Tailpiece": "pierced"}, {"Tailpiece": verdict}, None, None).differences
    assert (differs.verdict, differs.evidence, differs.earlier) == ("factory", "In the order book", None)
    [anew] = compare([TAILPIECE], {"Tailpiece": "Cast"}, {"Tailpiece": verdict}, None, None).differences
    assert (anew.verdict, anew.evidence, anew.earlier) == (None, "", verdict)


@pytest.mark.parametrize(
    ("one", "other", "quantity", "alike"),
    [
        ("26¼ in (667 mm)", "26 1/4 in", "length", True),
        ("26¼ in", "666.8 mm", "length", False),  # measured anew, so asked anew
        ("2.8 kg", "2800 g", "mass", True),
        ("22", "22", "count", True),
        ("22", "21", "count", False),
        ("Pierced", "pierced", "", True),
        ("26 1/4 in", "26.25 in", "", False),
    ],
)
def test_the_same_seen_value(one: str, other: str, quantity: str, alike: bool) -> None:
    assert same(one, other, quantity) is alike


@pytest.mark.parametrize(
    ("text", "quantity", "code"),
    [
        ("short", "length", "unreadable"),
        ("26.3 in", "length", "not-exact"),
        ("26", "length", "no-unit"),
        ("26 1/2 to 26 in", "length", "reversed"),
        ("heavy", "mass", "unreadable"),
        ("twenty", "count", "unreadable"),
        ("22.5", "count", "unreadable"),
        ("Walnut", "choice", "choice"),
    ],
)
def test_a_usual_value_that_could_never_be_compared_is_refused(text: str, quantity: str, code: str) -> None:
    with pytest.raises(UnreadableMeasure) as refused:
        check_value(text, quantity, ["Mahogany", "Maple"])
    assert refused.value.code == code


@pytest.mark.parametrize(
    ("text", "quantity"),
    [
        ("26 to 26 1/2 in", "length"),
        ("660–673 mm", "length"),
        ("6 to 6.5 lb", "mass"),
        ("22", "count"),
        ("mahogany", "choice"),
        ("anything", ""),
    ],
)
def test_a_usual_value_that_can_be_compared_is_taken(text: str, quantity: str) -> None:
    check_value(text, quantity, ["Mahogany", "Maple"])


@given(st.lists(USUAL, min_size=1), st.data())
def test_no_difference_when_what_is_seen_is_a_usual_value(usual: list[Usual], data: st.DataObject) -> None:
    row = data.draw(st.sampled_from(usual))
    found = compare(usual, {row.what: row.value}, {}, row.earliest, row.latest)
    assert row.what not in [difference.what for difference in found.differences]


@given(st.lists(USUAL), st.dictionaries(st.sampled_from(["Tailpiece", "Rim", "Frets"]), WORDS), USUAL)
def test_a_further_alternative_never_makes_a_difference(
    usual: list[Usual], seen: dict[str, str], more: Usual
) -> None:
    known = {row.what for row in usual}
    before = compare(usual, seen, {}, None, None)
    after = compare([*usual, more], seen, {}, None, None)
    new = {row.what for row in after.differences} - {row.what for row in before.differences}
    # A thing that had no usual value at all is compared for the first time.
    assert new <= {more.what} - known


@given(st.lists(USUAL), st.dictionaries(st.sampled_from(["Tailpiece", "Rim", "Frets"]), WORDS))
def test_every_thing_on_the_list_has_one_answer(usual: list[Usual], seen: dict[str, str]) -> None:
    found = compare(usual, seen, {}, 1925, 1928)
    whats = [row.what for row in (*found.differences, *found.agreements, *found.not_seen)]
    assert len(whats) == len(set(whats))
    assert set(whats) <= {row.what for row in usual}
