"""When a material was taken and put on: what is missing, later, or contradicts itself never makes an answer surer.

The rows of the table are common practice, no source.
"""

from datetime import date, timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inquiries.borders.conditions import OPEN, Item, Shipment, Span, before
from inquiries.borders.part_rules import ON_TOO_EARLY, TAKEN_LATER, UNDATED, PartDates, dates_of
from inquiries.borders.rules import Verdict, check
from tests.inquiries.borders.shipped import shipped_rules

DAYS = st.dates(date(1850, 1, 1), date(2025, 12, 31))
SPANS = st.lists(DAYS, min_size=2, max_size=2).map(lambda days: Span(*sorted(days)))
LISTED = ["Dalbergia nigra", "Loxodonta", "Elephas maximus", "Eretmochelys imbricata", "Odobenus rosmarus"]


def year(first: int, last: int | None = None) -> Span:
    return Span(date(first, 1, 1), date(last or first, 12, 31))


@pytest.mark.parametrize(
    ("original", "fitted", "taken", "expected"),
    [
        (True, None, OPEN, PartDates(Span(None, date(1910, 12, 31)), year(1910))),
        (True, None, year(1905), PartDates(year(1905), year(1910))),
        (False, None, OPEN, PartDates(OPEN, Span(date(1910, 1, 1), None), (UNDATED,))),
        (False, None, year(1905), PartDates(year(1905), Span(date(1910, 1, 1), None), (UNDATED,))),
        (False, year(1950), OPEN, PartDates(Span(None, date(1950, 12, 31)), year(1950))),
        (False, year(1950), year(1940, 1960), PartDates(year(1940, 1950), year(1950))),
        (True, None, year(1995), PartDates(year(1995), year(1910, 1995), (TAKEN_LATER,))),
        (False, year(1950), year(1995), PartDates(year(1995), year(1950, 1995), (TAKEN_LATER,))),
        (
            False,
            year(1850),
            OPEN,
            PartDates(Span(None, date(1910, 12, 31)), year(1850, 1910), (ON_TOO_EARLY,)),
        ),
    ],
)
def test_what_the_record_tells_of_a_part_of_a_piece_of_1910(
    original: bool, fitted: Span | None, taken: Span, expected: PartDates
) -> None:
    assert dates_of(year(1910), original=original, fitted=fitted, taken=taken) == expected


def verdicts(species: str, made: Span, dates: PartDates) -> dict[str, Verdict]:
    """What each rule comes to on a shipment from the United States to Britain."""
    sort = "plant" if species.startswith("D") else "animal"
    item = Item("Nut", (species,), sort, dates.taken, dates.fitted, "Seen", dates.doubts)
    sent = Shipment(date(2026, 6, 10), "US", "GB", "sale", "fretted", "instrument", made, items=(item,))
    return {line.rule: line.verdict for line in check(shipped_rules(), sent)}


@given(SPANS, SPANS, SPANS, st.booleans(), st.sampled_from(LISTED))
def test_a_missing_date_decides_nothing_that_the_date_would_not(
    made: Span, fitted: Span, taken: Span, original: bool, species: str
) -> None:
    """Each date is typed apart from the others; none is built from another."""
    assert made.earliest and fitted.earliest  # noqa: PT018 - both are days
    assume(fitted.earliest >= made.earliest)
    known = dates_of(made, original=False, fitted=fitted, taken=taken)
    assume(TAKEN_LATER not in known.doubts)
    for lacking in (
        dates_of(made, original=False, fitted=None, taken=taken),
        dates_of(made, original=False, fitted=fitted, taken=OPEN),
        dates_of(made, original=False, fitted=None, taken=OPEN),
    ):
        less = verdicts(species, made, lacking)
        for rule, verdict in verdicts(species, made, known).items():
            assert less[rule] in (verdict, Verdict.ASK), rule
    asked = dates_of(made, original=original, fitted=None, taken=taken)
    assert (UNDATED in asked.doubts) is not original


@given(SPANS, st.none() | SPANS, SPANS, st.booleans(), st.integers(0, 40_000), DAYS)
def test_a_later_date_is_never_surer_to_lie_before_a_limit(
    made: Span, fitted: Span | None, taken: Span, original: bool, days: int, limit: date
) -> None:
    assert taken.earliest and taken.latest  # noqa: PT018 - both are days
    later = Span(taken.earliest + timedelta(days), taken.latest + timedelta(days))
    first = dates_of(made, original=original, fitted=fitted, taken=taken)
    second = dates_of(made, original=original, fitted=fitted, taken=later)
    order = {True: 0, None: 1, False: 2}
    for one, other in ((first.taken, second.taken), (first.fitted, second.fitted)):
        assert order[before(one, limit)] <= order[before(other, limit)]


@given(SPANS, SPANS, SPANS, st.booleans())
def test_dates_that_cannot_be_are_said_and_what_was_typed_stands(
    made: Span, fitted: Span, taken: Span, original: bool
) -> None:
    found = dates_of(made, original=original, fitted=fitted, taken=taken)
    assert found.taken.earliest == taken.earliest
    assert found.taken.latest is not None
    assert found.taken.earliest is not None
    assert found.taken.earliest <= found.taken.latest, "no span ends before it begins"
    assert (ON_TOO_EARLY in found.doubts) is (made.earliest > fitted.latest)  # type: ignore[operator]
    if TAKEN_LATER in found.doubts:
        assert found.taken == taken


def test_a_day_later_than_the_last_on_which_it_was_put_on_is_a_contradiction_and_that_day_is_none() -> None:
    last = date(1910, 12, 31)
    for day, doubts in ((last, ()), (last + timedelta(days=1), (TAKEN_LATER,))):
        assert dates_of(year(1910), original=True, fitted=None, taken=Span(day, day)).doubts == doubts
