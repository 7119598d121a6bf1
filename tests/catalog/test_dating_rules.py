"""From evidence to a date of make: tables, properties, and another library's intervals as a second opinion.

The rules are the shop's own and intersecting spans is common practice, no source; so the tables are, too.
"""

from itertools import combinations

import portion
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.dating.rules import (
    Agreement,
    Conclusion,
    Evidence,
    agreement,
    conclude,
    made,
    spoken,
)

Span = tuple[int | None, int | None]

FIRM, INDICATIVE = True, False


def piece(first: int | None, last: int | None, firm: bool = FIRM, says: str = "") -> Evidence:
    return Evidence((first, last, firm, says), says or f"{first} to {last}", first, last, firm)


RIM = piece(1925, 1928, says="Rim number 9173")
LUGS = piece(1924, 1926, says="Two-way lugs")
LABEL = piece(1924, None, says="Label with the patent of 1924")
BILL = piece(None, 1927, says="Bill of sale")
LATE = piece(1931, 1933, says="Rim number 17404")
TOLD = piece(1926, 1926, INDICATIVE, says="Told by the family")
TOLD_WRONG = piece(1940, 1940, INDICATIVE, says="Told by a neighbour")
GUESS = piece(1925, 1930, INDICATIVE, says="Look of the inlay")
OTHER_GUESS = piece(1926, 1935, INDICATIVE, says="Look of the tuners")

TABLE: list[tuple[str, list[Evidence], Span, list[Evidence], list[Evidence], list[Evidence]]] = [
    ("nothing", [], (None, None), [], [], []),
    ("one span", [RIM], (1925, 1928), [RIM], [], []),
    ("two spans", [RIM, LUGS], (1925, 1926), [RIM, LUGS], [], []),
    ("the wider one gives no reason", [LUGS, LABEL, RIM], (1925, 1926), [LUGS, RIM], [], []),
    ("open at the end", [LABEL], (1924, None), [LABEL], [], []),
    ("open at the beginning", [BILL], (None, 1927), [BILL], [], []),
    ("two open ends make a span", [LABEL, BILL], (1924, 1927), [LABEL, BILL], [], []),
    ("firm against firm", [RIM, LATE], (None, None), [], [RIM, LATE], []),
    ("the pair with the widest gap", [RIM, LATE, LUGS, LABEL], (None, None), [], [LUGS, LATE], []),
    ("an open end contradicts too", [BILL, LATE, RIM], (None, None), [], [BILL, LATE], []),
    ("neighbouring years", [piece(1925, 1926), piece(1927, 1928)], (None, None), [],
     [piece(1925, 1926), piece(1927, 1928)], []),
    ("one year in common", [piece(1925, 1927), piece(1927, 1928)], (1927, 1927),
     [piece(1925, 1927), piece(1927, 1928)], [], []),
    ("hearsay narrows", [RIM, TOLD], (1926, 1926), [TOLD], [], []),
    ("hearsay never beats", [RIM, TOLD_WRONG], (1925, 1928), [RIM], [], [TOLD_WRONG]),
    ("hearsay mends no contradiction", [RIM, LATE, TOLD], (None, None), [], [RIM, LATE], []),
    ("indicated only", [GUESS, OTHER_GUESS], (1926, 1930), [GUESS, OTHER_GUESS], [], []),
    ("indicative against indicative", [TOLD, TOLD_WRONG], (None, None), [], [], [TOLD, TOLD_WRONG]),
    ("the third stands", [TOLD, TOLD_WRONG, piece(1920, 1945, INDICATIVE)], (1920, 1945),
     [piece(1920, 1945, INDICATIVE)], [], [TOLD, TOLD_WRONG]),
    ("firm decides between two", [RIM, TOLD, TOLD_WRONG], (1926, 1926), [TOLD], [], [TOLD_WRONG]),
    ("firm and indicative bind an end each", [RIM, OTHER_GUESS], (1926, 1928), [RIM, OTHER_GUESS], [], []),
]  # fmt: skip


@pytest.mark.parametrize(
    ("evidence", "span", "reasons", "contradiction", "set_aside"),
    [row[1:] for row in TABLE],
    ids=[row[0] for row in TABLE],
)
def test_what_the_evidence_says_together(
    evidence: list[Evidence],
    span: Span,
    reasons: list[Evidence],
    contradiction: list[Evidence],
    set_aside: list[Evidence],
) -> None:
    found = conclude(evidence)
    assert found.span == span
    assert set(found.reasons) == set(reasons)
    assert list(found.contradiction) == contradiction
    assert set(found.set_aside) == set(set_aside)


def test_a_span_that_runs_backwards_is_no_evidence() -> None:
    with pytest.raises(ValueError, match="runs backwards"):
        piece(1930, 1925)


@pytest.mark.parametrize(
    ("evidence", "words"),
    [
        ([], ["Nothing dates it yet."]),
        ([RIM], ["Made between 1925 and 1928: “Rim number 9173” (1925 to 1928, firm)."]),
        (
            [RIM, LUGS],
            [
                "Made between 1925 and 1926: “Two-way lugs” (1924 to 1926, firm); "
                "“Rim number 9173” (1925 to 1928, firm)."
            ],
        ),
        ([LABEL], ["Not made before 1924: “Label with the patent of 1924” (1924 or later, firm)."]),
        ([BILL], ["Not made after 1927: “Bill of sale” (1927 or earlier, firm)."]),
        (
            [RIM, TOLD],
            [
                "Made in 1926: “Told by the family” (1926, indicative).",
                "What is firm says no more than 1925 to 1928.",
            ],
        ),
        (
            [TOLD],
            [
                "Made in 1926: “Told by the family” (1926, indicative).",
                "This is indicated only: nothing firm dates it yet.",
            ],
        ),
        (
            [RIM, TOLD_WRONG],
            [
                "Made between 1925 and 1928: “Rim number 9173” (1925 to 1928, firm).",
                "Set aside, because firm evidence says otherwise: “Told by a neighbour” (1940, indicative).",
            ],
        ),
        (
            [TOLD, TOLD_WRONG],
            [
                "Nothing dates it yet.",
                "Set aside, because they contradict each other and are not firm: "
                "“Told by the family” (1926, indicative); “Told by a neighbour” (1940, indicative).",
            ],
        ),
        (
            [LATE, RIM],
            [
                "The evidence contradicts itself, so no date is drawn from it: “Rim number 9173” "
                "(1925 to 1928, firm) cannot stand beside “Rim number 17404” (1931 to 1933, firm)."
            ],
        ),
    ],
)
def test_it_is_said_in_sentences(evidence: list[Evidence], words: list[str]) -> None:
    assert spoken(conclude(evidence)) == words


def test_the_beginning_of_a_sentence() -> None:
    assert made(conclude([RIM])) == "Made between 1925 and 1928"
    assert made(conclude([])) == "Nothing dates it yet"


YES, NO, OPEN = Agreement.SUPPORTED, Agreement.CONTRADICTED, Agreement.NOT_ESTABLISHED


@pytest.mark.parametrize(
    ("stated", "near", "evidence", "expected"),
    [
        ((1925, 1928), False, [RIM], YES),
        ((1920, 1930), False, [RIM], YES),
        ((1926, 1926), False, [RIM], OPEN),  # more exact than the evidence
        ((1926, 1926), True, [RIM], YES),  # c. 1926, within four years of evidence
        ((1927, 1930), True, [RIM], OPEN),  # hangs over
        ((1927, 1930), False, [RIM], OPEN),
        ((1930, 1930), False, [RIM], NO),
        ((1930, 1930), True, [RIM], NO),  # “about” has no width of its own
        ((1926, 1926), True, [piece(1920, 1929)], YES),  # ten years
        ((1926, 1926), True, [piece(1920, 1930)], OPEN),  # eleven
        ((1926, 1926), True, [LABEL], OPEN),  # open: wider than ten years
        ((1924, None), False, [LABEL], YES),
        ((1920, None), False, [LABEL], YES),
        ((1926, None), False, [LABEL], OPEN),
        ((1920, None), False, [RIM], YES),
        ((None, 1930), False, [RIM], YES),
        ((None, 1920), False, [RIM], NO),
        ((None, 1923), False, [LABEL], NO),
        ((1925, 1928), False, [LABEL], OPEN),
        ((1926, 1926), False, [LABEL, piece(None, 1926), piece(1926, None)], YES),
        ((1926, 1926), False, [], OPEN),
        ((None, None), False, [RIM], OPEN),
        ((1926, 1926), False, [RIM, LATE], OPEN),  # the evidence contradicts itself
        ((1926, 1926), False, [TOLD], OPEN),  # a flat date needs something firm
        ((1926, 1926), True, [TOLD], YES),
        ((1926, 1926), False, [TOLD_WRONG], OPEN),  # hearsay alone contradicts nothing
        ((1926, 1926), False, [RIM, TOLD], OPEN),
        ((1926, 1926), True, [piece(1900, 1940), TOLD], YES),
        ((1940, 1940), False, [RIM, TOLD_WRONG], NO),
    ],
)
def test_a_stated_date_and_the_evidence(
    stated: Span, near: bool, evidence: list[Evidence], expected: Agreement
) -> None:
    assert agreement(*stated, near, conclude(evidence)) == expected


YEAR = st.integers(1890, 1945)


@st.composite
def spans(draw: st.DrawFn) -> Span:
    first, last = sorted([draw(YEAR), draw(YEAR)])
    return draw(st.sampled_from([(first, last), (first, None), (None, last), (None, None), (first, first)]))


@st.composite
def pieces(draw: st.DrawFn, firm: bool | None = None) -> Evidence:
    weight = draw(st.booleans()) if firm is None else firm
    return Evidence(draw(st.integers(0, 999)), draw(st.sampled_from("abc")), *draw(spans()), weight)


EVIDENCE = st.lists(pieces(), max_size=7)
FIRM_EVIDENCE = st.lists(pieces(firm=True), max_size=7)


def interval(span: Span) -> portion.Interval:
    """The span by another library's lights."""
    first, last = span
    return portion.closed(-portion.inf if first is None else first, portion.inf if last is None else last)


def together(evidence: list[Evidence]) -> portion.Interval:
    left = portion.open(-portion.inf, portion.inf)
    for one in evidence:
        left &= interval((one.earliest, one.latest))
    return left


@given(FIRM_EVIDENCE)
def test_another_librarys_intervals_agree(evidence: list[Evidence]) -> None:
    found, left = conclude(evidence), together(evidence)
    assert bool(found.contradiction) == left.empty
    if not left.empty:
        assert interval(found.span) == left


@given(EVIDENCE)
def test_another_librarys_intervals_agree_on_what_is_used(evidence: list[Evidence]) -> None:
    found = conclude(evidence)
    if not found.contradiction:
        used = [one for one in evidence if one not in found.set_aside]
        assert interval(found.span) == together(used)
        assert interval(found.firm_span) == together([one for one in evidence if one.firm])


@given(st.data())
def test_the_order_makes_no_difference(data: st.DataObject) -> None:
    evidence = data.draw(EVIDENCE)
    assert conclude(data.draw(st.permutations(evidence))) == conclude(evidence)


@given(FIRM_EVIDENCE, pieces(firm=True))
def test_more_firm_evidence_never_widens(evidence: list[Evidence], more: Evidence) -> None:
    before, after = conclude(evidence), conclude([*evidence, more])
    if before.contradiction:
        assert after.contradiction
    elif not after.contradiction:
        assert interval(after.span) in interval(before.span)


@given(EVIDENCE, pieces(firm=True))
def test_nor_does_it_widen_what_is_firm_beside_hearsay(evidence: list[Evidence], more: Evidence) -> None:
    before, after = conclude(evidence), conclude([*evidence, more])
    if not after.contradiction:
        assert interval(after.firm_span) in interval(before.firm_span)


@given(EVIDENCE)
def test_what_is_concluded_lies_within_every_firm_span(evidence: list[Evidence]) -> None:
    found = conclude(evidence)
    if not found.contradiction:
        for one in (one for one in evidence if one.firm):
            assert interval(found.span) in interval((one.earliest, one.latest))


@given(EVIDENCE)
def test_a_contradiction_is_the_smallest_there_is(evidence: list[Evidence]) -> None:
    found = conclude(evidence)
    firm = [one for one in evidence if one.firm]
    empty = [
        len(some)
        for size in range(1, len(firm) + 1)
        for some in combinations(firm, size)
        if together(list(some)).empty
    ]
    assert bool(found.contradiction) == bool(empty)
    if found.contradiction:
        assert len(found.contradiction) == min(empty) == 2
        assert together(list(found.contradiction)).empty
        assert set(found.contradiction) <= set(firm)
        assert (found.span, found.reasons) == ((None, None), ())
        for one in found.contradiction:
            assert not conclude([one]).contradiction


@given(EVIDENCE)
def test_only_indicative_evidence_is_set_aside_and_only_for_a_reason(evidence: list[Evidence]) -> None:
    found = conclude(evidence)
    for one in found.set_aside:
        assert not one.firm
        rivals = [other for other in evidence if other.firm or other in found.set_aside]
        assert (
            any(together([one, other]).empty for other in rivals)
            or together([one, *(other for other in evidence if other.firm)]).empty
        )


@given(EVIDENCE)
def test_the_reasons_bind_and_each_end_has_one(evidence: list[Evidence]) -> None:
    found = conclude(evidence)
    for one in found.reasons:
        assert found.earliest in {one.earliest} - {None} or found.latest in {one.latest} - {None}
    for end, ends in (
        (found.earliest, [one.earliest for one in found.reasons]),
        (found.latest, [one.latest for one in found.reasons]),
    ):
        assert end is None or end in ends


def rank(found: Agreement) -> int:
    return [Agreement.CONTRADICTED, Agreement.NOT_ESTABLISHED, Agreement.SUPPORTED].index(found)


@given(spans(), FIRM_EVIDENCE, pieces(firm=True))
def test_more_firm_evidence_leaves_the_contradicted_and_the_supported_as_they_are(
    stated: Span, evidence: list[Evidence], more: Evidence
) -> None:
    before, after = conclude(evidence), conclude([*evidence, more])
    if after.contradiction:
        assert agreement(*stated, False, after) == Agreement.NOT_ESTABLISHED
        return
    was, now = agreement(*stated, False, before), agreement(*stated, False, after)
    if was != Agreement.NOT_ESTABLISHED:
        assert now == was


@given(spans(), EVIDENCE)
def test_a_softer_statement_is_never_less_supported_by_firm_evidence(
    stated: Span, evidence: list[Evidence]
) -> None:
    found = conclude(evidence)
    assert rank(agreement(*stated, True, found)) >= rank(agreement(*stated, False, found))


@given(spans(), spans(), EVIDENCE, st.booleans())
def test_a_wider_statement_is_never_more_contradicted(
    one: Span, other: Span, evidence: list[Evidence], near: bool
) -> None:
    wide = interval(one) | interval(other)
    stated = (
        None if wide.lower == -portion.inf else wide.lower,
        None if wide.upper == portion.inf else wide.upper,
    )
    found = conclude(evidence)
    if agreement(*one, near, found) != Agreement.CONTRADICTED:
        assert agreement(*stated, near, found) != Agreement.CONTRADICTED


def test_a_contradiction_supports_and_contradicts_nothing() -> None:
    assert agreement(1925, 1926, False, Conclusion(contradiction=(RIM, LATE))) == Agreement.NOT_ESTABLISHED
