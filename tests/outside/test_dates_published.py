"""The published examples of EDTF, and a second library as referee.

Source: Library of Congress, Extended Date/Time Format (EDTF) specification, 4 February 2019, all 64 examples
(data/edtf_spec_examples.csv). Referee: the package edtf 5.0.2, by its strict bounds, which widen nothing; where it is
known to be wrong, it is not asked, and the fault is named here.
"""

import csv
import time
from datetime import date, timedelta
from pathlib import Path

import edtf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.dating.edtf import Day, End, parse

DATA = Path(__file__).parent / "data" / "edtf_spec_examples.csv"
# One string is given twice, at level 1 and again at level 2; it is read at the lower one.
GIVEN_TWICE = "2004-06-11%"
FAULTS = {
    "1985-04-12/": "an unknown end becomes the known end and ten years",
    "1985-04/": "an unknown end becomes the known end and ten years",
    "1985/": "an unknown end becomes the known end and ten years",
    "/1985-04-12": "an unknown start becomes the known end less ten years",
    "/1985-04": "an unknown start becomes the known end less ten years",
    "/1985": "an unknown start becomes the known end less ten years",
    "1950S2": "the strict bounds are those of the estimate, not of all years that its figures allow",
    "Y171010000S3": "the strict bounds are those of the estimate, not of all years that its figures allow",
    "Y3388E2S3": "the strict bounds are those of the estimate, not of all years that its figures allow",
    "1984-1X": "an AttributeError for a month of one unknown digit",
}


def published() -> list[dict[str, str]]:
    with DATA.open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def written(end: Day | End) -> str:
    """An end as the list writes it."""
    if isinstance(end, End):
        return {End.OPEN: "open", End.UNKNOWN: "unknown"}[end]
    year, month, day = end
    return f"{'-' if year < 0 else ''}{abs(year):04d}-{month:02d}-{day:02d}"


def referee(text: str) -> tuple[Day | End, Day | End]:
    """First and last day by the other library, which writes an open end as an infinite number."""
    named = edtf.parse_edtf(text)
    bounds: list[time.struct_time | float] = [named.lower_strict(), named.upper_strict()]
    first, last = (
        (bound.tm_year, bound.tm_mon, bound.tm_mday) if isinstance(bound, time.struct_time) else End.OPEN
        for bound in bounds
    )
    return first, last


def ours(text: str) -> tuple[Day | End, Day | End]:
    named = parse(text)
    return named.first, named.last


def test_the_published_list_is_whole() -> None:
    """The specification gives 13, 24 and 27 examples at its three levels."""
    levels = [row["level"] for row in published()]
    assert [levels.count(level) for level in "012"] == [13, 24, 27]


@pytest.mark.parametrize("row", published(), ids=lambda row: row["edtf"])
def test_each_example_names_its_published_days(row: dict[str, str]) -> None:
    named = parse(row["edtf"])
    assert (written(named.first), written(named.last)) == (row["earliest"], row["latest"])
    assert named.level == (1 if row["edtf"] == GIVEN_TWICE else int(row["level"]))


@pytest.mark.parametrize("row", published(), ids=lambda row: row["edtf"])
def test_each_example_carries_the_marks_it_shows(row: dict[str, str]) -> None:
    named = parse(row["edtf"])
    assert named.approximate == any(mark in row["edtf"] for mark in "~%")
    assert named.uncertain == any(mark in row["edtf"] for mark in "?%")
    # The one season among them: the list says that its months are a convention.
    assert named.conventional == (row["edtf"] == "2001-21")


@pytest.mark.parametrize("row", published(), ids=lambda row: row["edtf"])
def test_the_referee_agrees_where_it_is_right(row: dict[str, str]) -> None:
    if row["edtf"] in FAULTS:
        # If a fault is mended one day, it leaves the list above.
        with pytest.raises((AssertionError, AttributeError)):
            assert referee(row["edtf"]) == ours(row["edtf"])
    else:
        assert referee(row["edtf"]) == ours(row["edtf"])


YEARS = st.integers(1000, 2100)
DAYS = st.dates(date(1000, 1, 1), date(2100, 12, 31))
MARKS = st.sampled_from(["", "?", "~", "%"])
MARKED = st.sampled_from(["?", "~", "%"])
PLAIN = st.one_of(YEARS.map(str), DAYS.map(lambda day: f"{day:%Y-%m}"), DAYS.map(str))
UNKNOWN_DIGITS = st.one_of(
    YEARS.map(lambda year: f"{year // 10}X"),
    YEARS.map(lambda year: f"{year // 100}XX"),
    YEARS.map(lambda year: f"{year}-XX"),
    YEARS.map(lambda year: f"{year}-XX-XX"),
    DAYS.map(lambda day: f"{day:%Y-%m}-XX"),
    DAYS.map(lambda day: f"{day.year // 10}X-{day.month:02d}"),
)
# The codes of winter, and of a southern summer, are left out: the referee takes December alone.
GROUPINGS = st.sampled_from([21, 22, 23, 25, 26, 27, 29, 31, 32, *range(33, 42)])
SUB_YEARS = st.builds("{}-{}".format, YEARS, GROUPINGS)


@st.composite
def intervals(draw: st.DrawFn) -> str:
    """Ends of any precision in order, each with a mark or none, or one of them open.

    Left out for the referee: an unknown end, which it makes up, and unknown digits at an end (an AttributeError).
    """
    first = draw(DAYS)
    last = first + timedelta(draw(st.integers(0, 40_000)))
    widths = st.sampled_from([4, 7, 10])
    ends = [str(day)[: draw(widths)] + draw(MARKS) for day in (first, last)]
    opened = draw(st.sampled_from([None, None, 0, 1]))
    if opened is not None:
        ends[opened] = ".."
    return "/".join(ends)


@st.composite
def sets(draw: st.DrawFn) -> str:
    """Years in order, some with a span between, one of them or all.

    Left out for the referee: an open end in braces after a first member (a TypeError).
    """
    years = sorted(draw(st.sets(YEARS, min_size=3, max_size=6)))
    spans = draw(st.booleans())
    members = [f"{years[0]}..{years[1]}", *map(str, years[2:])] if spans else list(map(str, years))
    if draw(st.booleans()):
        return f"{{{','.join(members)}}}"
    before, after = draw(st.sampled_from([("", ""), ("", ".."), ("..", "")]))
    joined = ",".join(members[1:] if spans else members)
    return f"[{before}{joined}{after}]" if before or after else f"[{','.join(members)}]"


@st.composite
def marked_parts(draw: st.DrawFn) -> str:
    """A day with one mark within it: to the left of a part, or to the right of year or month."""
    parts = str(draw(DAYS)).split("-")
    at = draw(st.integers(0, 2))
    mark = draw(MARKED)
    parts[at] = f"{mark}{parts[at]}" if at == 2 or draw(st.booleans()) else f"{parts[at]}{mark}"
    return "-".join(parts)


DEALERS = st.one_of(
    PLAIN,
    st.builds("{}{}".format, PLAIN, MARKED),
    UNKNOWN_DIGITS,
    st.builds("{}{}".format, YEARS.map(lambda year: f"{year // 10}X"), MARKED),
    SUB_YEARS,
    intervals(),
    sets(),
    marked_parts(),
)


@given(DEALERS)
def test_the_referee_agrees_on_whatever_a_dealer_may_need(text: str) -> None:
    assert ours(text) == referee(text)


@pytest.mark.parametrize("text", ["1985-02-29", "1999-02-29/2000", "2004/2003", " 1985 "])
def test_the_referee_is_laxer_and_is_not_followed(text: str) -> None:
    """Faults of the referee: it takes days that never were, spans that run backwards, and outer spaces."""
    assert edtf.parse_edtf(text) is not None
    with pytest.raises(ValueError, match=r"no 29 February|before it begins|is not a date"):
        parse(text)


@pytest.mark.parametrize("text", ["1927-06?-~11", "{1925,1930..}", "1925-XX/1930"])
def test_the_referee_fails_on_what_the_specification_allows(text: str) -> None:
    with pytest.raises((AttributeError, TypeError, edtf.EDTFParseException)):
        referee(text)
    assert parse(text).level == 2
