"""What a provenance leaves open, and where its entries cannot all be true. Common practice, no source.

The years that are left open are held against `portion`, a library for sets of spans that shares no code with ours.
"""

from itertools import pairwise, permutations

import portion
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.models import Provenance
from catalog.provenance.rules import (
    ACCOUNTING,
    Gap,
    Span,
    contradictions,
    disagreements,
    gaps,
    names_in,
    out_of_order,
    untold,
)

KINDS = [str(kind) for kind in Provenance.Kind]


def span(
    kind: str, earliest: int | None, latest: int | None = None, *, until: bool = False, **more: bool
) -> Span:
    """An entry named by its kind and its years; one year alone is first and last, unless it is `open`."""
    last = latest if latest is not None or until else earliest
    return Span(f"{kind} {earliest}-{last}", f"{kind}, {earliest} to {last}", kind, earliest, last, **more)


OPEN_START, OPEN_END = Span("s", "Owned, until 1930", "owned", None, 1930), span("owned", 1960, until=True)

GAPS = [
    ([], 1927, 1930, [(1928, 1929)]),
    ([], 1927, 1928, []),
    ([], 1930, 1927, []),
    ([], None, 1990, []),
    ([span("owned", 1927, 1989)], 1927, 1990, []),
    ([span("owned", 1927, 1947), span("found", 1990)], 1927, 2026, [(1948, 1989), (1991, 2025)]),
    ([span("sold-new", 1928), span("owned", 1930, 1940)], 1927, 1941, [(1929, 1929)]),
    ([span("dealer", 1928, 1935), span("owned", 1931, 1940)], 1927, 1941, []),
    ([span("exhibited", 1928)], 1927, 1930, [(1929, 1929)]),
    # Neither a repair nor being out of sight tells where it was at home.
    ([span("repaired", 1928, 1935)], 1927, 1936, [(1928, 1935)]),
    ([span("out-of-sight", 1928, 1935)], 1927, 1936, [(1928, 1935)]),
    # Made at some time from 1925 to 1928: those years are the maker's.
    ([span("made", 1925, 1928)], 1925, 1931, [(1929, 1930)]),
    # A doubtful year stands for itself alone; a decade for its ten years.
    ([span("owned", 1931, doubtful=True)], 1930, 1933, [(1932, 1932)]),
    ([span("owned", 1920, 1929, one_of=True)], 1919, 1931, [(1930, 1930)]),
    # An open end accounts for the year that is named, and for no other.
    ([OPEN_START], 1927, 1932, [(1928, 1929), (1931, 1931)]),
    ([OPEN_END], 1958, 1963, [(1959, 1959), (1961, 1962)]),
    ([span("owned", None)], 1927, 1929, [(1928, 1928)]),
]


@pytest.mark.parametrize(("entries", "made", "until", "expected"), GAPS)
def test_the_years_of_which_nothing_is_known(
    entries: list[Span], made: int | None, until: int, expected: list[tuple[int, int]]
) -> None:
    assert gaps(entries, made, until) == [Gap(*pair) for pair in expected]


def test_a_gap_says_its_years() -> None:
    assert [str(Gap(1948, 1990)), str(Gap(1948, 1948))] == ["1948 to 1990", "1948"]


def test_years_that_are_told_to_be_out_of_sight_are_not_told_twice() -> None:
    hidden = span("out-of-sight", 1950, 1973)
    assert untold([Gap(1948, 1989)], [hidden]) == [Gap(1948, 1949), Gap(1974, 1989)]
    assert untold([Gap(1950, 1973)], [hidden, span("owned", 1950)]) == []


AGREE = [
    # One hands it to the next within a year.
    [span("owned", 1931, 1950), span("owned", 1950, 1960)],
    [span("owned", 1931, 1950), span("dealer", 1950)],
    [span("owned", 1945), span("dealer", 1945)],
    # A doubtful end may lie five years to either side.
    [span("owned", 1931, 1955, doubtful=True), span("owned", 1950, 1960)],
    # One year of several is certain in none of them.
    [span("owned", 1931, 1950), span("owned", 1940, 1949, one_of=True)],
    # An open end binds nobody.
    [span("owned", 1931, 1970), OPEN_END],
    [span("out-of-sight", 1950, 1974), span("owned", 1931, 1950)],
    [span("out-of-sight", 1950, 1974), span("repaired", 1960)],
    [span("made", 1931), span("sold-new", 1931)],
    [span("made", 1931), span("sold-new", 1958)],
    [span("made", 1931, doubtful=True), span("sold-new", 1926)],
    [span("made", 1931), span("sold-new", 1926, doubtful=True)],
    [span("made", 1931), span("sold-new", 1919, until=True)],
    [span("made", 1931), span("owned", 1925, 1940, one_of=True)],
    [span("made", 1931), span("owned", None)],
    [span("made", None, 1931), span("owned", 1925)],
    [span("made", 1925, 1931), span("made", 1931, doubtful=True)],
    [span("made", 1925), span("made", 1930, doubtful=True), span("sold-new", 1931), span("sold-new", 1931)],
]


@pytest.mark.parametrize("entries", AGREE)
def test_what_can_be_true_together_is_left_alone(entries: list[Span]) -> None:
    assert disagreements(entries) == []


DISAGREE = [
    (
        [span("owned", 1931, 1951), span("owned", 1950, 1960)],
        "“owned, 1931 to 1951” and “owned, 1950 to 1960” share 1950 to 1951. Both cannot have had it at once.",
    ),
    (
        [span("owned", 1931, 1960), span("dealer", 1945)],
        "“owned, 1931 to 1960” and “dealer, 1945 to 1945” share 1945. Both cannot have had it at once.",
    ),
    (
        [span("owned", 1931, 1957, doubtful=True), span("owned", 1950, 1960)],
        "“owned, 1931 to 1957” and “owned, 1950 to 1960” share 1950 to 1952. Both cannot have had it at once.",
    ),
    (
        [span("owned", 1931, 1960), span("out-of-sight", 1950, 1974)],
        "“out-of-sight, 1950 to 1974” and “owned, 1931 to 1960” share 1950 to 1960. "
        "It cannot have been out of sight and owned at once.",
    ),
    (
        [span("sold-new", 1929), span("made", 1931)],
        "“sold-new, 1929 to 1929” is before “made, 1931 to 1931”: "
        "nothing can have happened to it before it was made.",
    ),
    (
        [span("made", 1931), span("owned", 1925, 1940)],
        "“owned, 1925 to 1940” is before “made, 1931 to 1931”: "
        "nothing can have happened to it before it was made.",
    ),
    (
        [span("made", 1931, doubtful=True), span("repaired", 1925)],
        "“repaired, 1925 to 1925” is before “made, 1931 to 1931”: "
        "nothing can have happened to it before it was made.",
    ),
    (
        [span("made", 1925), span("made", 1931)],
        "“made, 1925 to 1925” and “made, 1931 to 1931” share no year, and it was made only once.",
    ),
    (
        [span("sold-new", 1931, 1932), span("sold-new", 1934)],
        "“sold-new, 1931 to 1932” and “sold-new, 1934 to 1934” share no year, and it was sold new only once.",
    ),
]


@pytest.mark.parametrize(("entries", "sentence"), DISAGREE)
def test_two_that_cannot_both_be_true_are_named_with_the_reason(entries: list[Span], sentence: str) -> None:
    assert [why for _, _, why in disagreements(entries)] == [sentence]
    assert [{one, other} for one, other, _ in disagreements(entries)] == [set(entries)]


def test_the_wrong_order_is_told_once_and_is_no_disagreement() -> None:
    entries = [span("found", 1990), span("sold-new", 1931), span("owned", None), span("owned", 1950)]
    assert [why for *_, why in contradictions(entries)] == [
        "“sold-new, 1931 to 1931” stands after “found, 1990 to 1990” and is earlier. Put them in order of time."
    ]
    assert disagreements(entries) == []
    # What may have been at the same time, or later, is in order.
    assert out_of_order([span("owned", 1950, 1960), span("owned", 1940, until=True)]) == []
    assert out_of_order([span("owned", 1950, doubtful=True), span("owned", 1945)]) == []


YEARS = st.integers(1880, 2020)
ENTRIES = st.lists(
    st.builds(
        lambda number, kind, first, length, open_start, open_end, doubtful, one_of: Span(
            number,
            f"{kind} {number}",
            kind,
            None if open_start else first,
            None if open_end else first + length,
            doubtful,
            one_of,
        ),
        st.integers(),
        st.sampled_from(KINDS),
        YEARS,
        st.integers(0, 40),
        st.booleans(),
        st.booleans(),
        st.booleans(),
        st.booleans(),
    ),
    max_size=8,
)


def years_in(found: list[Gap]) -> set[int]:
    return {year for gap in found for year in range(gap.first, gap.last + 1)}


@given(ENTRIES, YEARS, YEARS)
def test_the_open_years_are_those_that_another_library_finds(
    entries: list[Span], made: int, until: int
) -> None:
    left = portion.open(made, until)
    for entry in entries:
        if entry.kind in ACCOUNTING and not (entry.earliest is None and entry.latest is None):
            ends = [year for year in (entry.earliest, entry.latest) if year is not None]
            left -= portion.closed(ends[0], ends[-1])
    # Whole years between two spans: what an open end cuts off begins a year later.
    theirs = {year for year in range(made, until) if year in left}
    assert years_in(gaps(entries, made, until)) == theirs


@given(ENTRIES, YEARS, YEARS)
def test_a_gap_lies_within_the_asked_years_and_in_no_entry_that_accounts(
    entries: list[Span], made: int, until: int
) -> None:
    found = gaps(entries, made, until)
    assert all(made < gap.first <= gap.last < until for gap in found)
    assert not any(entry.accounts_for(year) for year in years_in(found) for entry in entries)
    # Gaps are apart: two that touch would be one.
    assert all(one.last + 1 < other.first for one, other in pairwise(found))


@given(ENTRIES, ENTRIES, YEARS, YEARS)
def test_one_more_entry_never_opens_a_gap(
    entries: list[Span], more: list[Span], made: int, until: int
) -> None:
    assert years_in(gaps(entries + more, made, until)) <= years_in(gaps(entries, made, until))
    assert years_in(untold(gaps(entries, made, until), more)) <= years_in(gaps(entries, made, until))


@given(ENTRIES)
def test_disagreeing_is_mutual_and_nobody_disagrees_with_himself(entries: list[Span]) -> None:
    there = {frozenset({id(one), id(other)}): why for one, other, why in disagreements(entries)}
    back = {frozenset({id(one), id(other)}) for one, other, _ in disagreements(entries[::-1])}
    assert set(there) == back
    assert all(len(pair) == 2 for pair in there)
    for one, other, why in disagreements(entries):
        assert one.says in why
        assert other.says in why


@given(st.lists(YEARS, min_size=1, max_size=4, unique=True))
def test_single_years_are_in_order_just_when_they_rise(years: list[int]) -> None:
    for order in permutations(years):
        told = out_of_order([span("owned", year) for year in order])
        assert bool(told) == (list(order) != sorted(order))


NAMES = [
    ("Played by Nell Tarrow in a dance band.", "Nell Tarrow", ["Nell", "Tarrow"]),
    ("From Tarrow’s shop window", "Mrs. N. Tarrow", ["Tarrow"]),
    ("TARROW kept it", "Nell Tarrow", ["TARROW"]),
    ("Brought home by Zoe", "Zoë Marrable", ["Zoe"]),
    ("Brought home by Zoë", "Zoe Marrable", ["Zoë"]),
    ("A family in the river towns", "The Tarrow family", []),
    ("An od story", "Od Quill", []),
    ("The quilled edge of a tarrowed field", "Nell Tarrow Quill", []),
    ("A dance band", "", []),
    ("With its case, from a sister", "Nell Tarrow, with her sister", []),
    ("In one house at the gap", "House of the Tarrows", []),
    ("The daughter’s letter", "The daughter’s grandson", []),
    ("Kept by Tarrow", "nell tarrow", ["Tarrow"]),
    ("Told by the mother and the son", "Ida and Tom Marrable", []),
]


@pytest.mark.parametrize(("text", "person", "found"), NAMES)
def test_a_name_is_found_as_a_word_of_its_own(text: str, person: str, found: list[str]) -> None:
    assert names_in(text, person) == found
