"""EDTF text: what it names, what is refused. What the specification itself shows is in tests/outside."""

from calendar import monthrange
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.dating.edtf import GROUPINGS, LONGEST, Day, End, NotEdtf, days_in, parse

OPEN, UNKNOWN = End.OPEN, End.UNKNOWN

# The forms beside the published examples. The rules are those of the specification of 4 February 2019; where it is
# silent, the module's docstring says what the shop chose.
READINGS = [
    ("0000", (0, 1, 1), (0, 12, 31), 0),
    ("1900-02", (1900, 2, 1), (1900, 2, 28), 0),
    ("2000-02", (2000, 2, 1), (2000, 2, 29), 0),
    ("1927-05-01T00:00:00", (1927, 5, 1), (1927, 5, 1), 0),
    ("1984~/2004-06?", (1984, 1, 1), (2004, 6, 30), 1),
    ("192X~", (1920, 1, 1), (1929, 12, 31), 2),
    ("193X/199X", (1930, 1, 1), (1999, 12, 31), 2),
    ("1930/193X", (1930, 1, 1), (1939, 12, 31), 2),
    ("1927-21/1928-23", (1927, 3, 1), (1928, 11, 30), 1),
    ("1927-24", (1927, 1, 1), (1927, 12, 31), 1),
    ("1927-30", (1927, 1, 1), (1927, 12, 31), 2),
    ("1927-32", (1927, 6, 1), (1927, 8, 31), 2),
    ("1927-36", (1927, 10, 1), (1927, 12, 31), 2),
    ("1927-37", (1927, 1, 1), (1927, 4, 30), 2),
    ("1927-41", (1927, 7, 1), (1927, 12, 31), 2),
    ("192X-21", (1920, 3, 1), (1929, 5, 31), 2),
    ("19X5", (1905, 1, 1), (1995, 12, 31), 2),
    ("XXXX-02-29", (0, 2, 29), (9996, 2, 29), 2),
    ("1XXX-02-29", (1004, 2, 29), (1996, 2, 29), 2),
    ("1985-XX-31", (1985, 1, 31), (1985, 12, 31), 2),
    ("1985-X2-XX", (1985, 2, 1), (1985, 12, 31), 2),
    ("1985-XX-05", (1985, 1, 5), (1985, 12, 5), 2),
    ("-1985-04", (-1985, 4, 1), (-1985, 4, 30), 1),
    ("-198X", (-1989, 1, 1), (-1980, 12, 31), 1),
    ("-1985S2", (-1999, 1, 1), (-1900, 12, 31), 2),
    ("1950S4", (1950, 1, 1), (1950, 12, 31), 2),
    ("Y10000", (10000, 1, 1), (10000, 12, 31), 1),
    ("Y1E4", (10000, 1, 1), (10000, 12, 31), 2),
    ("Y170000002/..", (170000002, 1, 1), OPEN, 1),
    ("1985/", (1985, 1, 1), UNKNOWN, 1),
    ("?1985", (1985, 1, 1), (1985, 12, 31), 2),
    ("~1985?-%06~", (1985, 6, 1), (1985, 6, 30), 2),
    ("[1925]", (1925, 1, 1), (1925, 12, 31), 2),
    ("[1930,1925]", (1925, 1, 1), (1930, 12, 31), 2),
    ("{1925,1930..}", (1925, 1, 1), OPEN, 2),
    ("[..1925,1930..]", OPEN, OPEN, 2),
    ("[1927?,1928?]", (1927, 1, 1), (1928, 12, 31), 2),
    ("[1670-01..1670-03,1925]", (1670, 1, 1), (1925, 12, 31), 2),
]

REFUSED = {
    "unreadable": [
        "", " ", "x", "192", "19277", "1985 ", " 1985", "1985-4", "1985-04-1", "19850412", "1985/04/12",
        "1985-04-12-01", "1985-13", "1985-00", "1985-42", "1985-20", "1985-99", "1985-21-05",
        "1985-21-XX", "1985-3X", "1985-04-4X", "XXX1-02-29", "1985-X3-XX-XX", "198x", "1985??",
        "1985?~", "?~1985", "1985-?", "1985~-", "٢٠٠٤", "1985-04-12T", "1985-04-12T24:00:00",
        "1985-04-12T23:60:00", "1985-04-12T23:20:60", "1985-04-12T23:20", "1985-04-12T232030",
        "1985-04T23:20:30", "1985-04-12?T23:20:30", "1985-04-12T23:20:30-4", "1985-04-12T23:20:30+24",
        "1985-04-12T23:20:30z", "1985-04-12T23:20:30/1986", "/", "..", "../..", "/..", "../",
        "1985/1986/1987", "1985..1986", "1985/...", "1985 / 1986", "1950S2/1960", "-0000", "-85",
        "--1985", "+1985", "Y1985", "Y9999", "Y-9999", "Y017000000", "Y17E", "Y17E0", "Y17E1",
        "Y17E100", "Y17e7", "y170000002", "Y170000002?", "YX70000002", "1950S0", "1950S5", "1950S",
        "1950S2?", "195XS2", "Y170000002S10", "[]", "{}", "[1667", "1667]", "[1667}", "[1667,]",
        "[,1667]", "[1667, 1668]", "[1667 ,1668]", "[..]", "[1667...1668]", "[1667..1668..]",
        "[1667..,1668]", "[1667,..1668]", "[1667..1668-02]", "[166X..1670]", "[1667,[1668]]",
        "[1667/1668]", "[x]",
    ],
    "no-such-day": [
        "1985-02-29", "1900-02-29", "1985-04-31", "1985-12-32", "1985-01-00", "1985-02-30?", "1985-02-30/1986",
        "[1985-02-30,1986]", "1985-02-29T10:00:00",
    ],
    "reversed": [
        "2004/2003", "2004-06/2004-05", "2004-06-11/2004-06-10", "2004-06/2003", "200X/1999", "1985-22/1985-21",
        "1985/-1985", "[1672..1670]", "{1672-02..1672-01}",
    ],
}  # fmt: skip


@pytest.mark.parametrize(("text", "first", "last", "level"), READINGS, ids=[row[0] for row in READINGS])
def test_a_text_names_its_days(text: str, first: Day | End, last: Day | End, level: int) -> None:
    named = parse(text)
    assert (named.text, named.first, named.last, named.level) == (text, first, last, level)


@pytest.mark.parametrize("text", [text for texts in REFUSED.values() for text in texts])
def test_what_is_not_edtf_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(NotEdtf) as refusal:
        parse(text)
    assert text in REFUSED[refusal.value.code]
    assert refusal.value.message.endswith(".")


def test_a_text_without_end_is_refused() -> None:
    assert parse(f"[{','.join(['1927'] * 99)}]").level == 2
    with pytest.raises(NotEdtf, match=f"more than {LONGEST}"):
        parse(f"[{','.join(['1927'] * 999)}]")


@pytest.mark.parametrize(
    ("text", "approximate", "uncertain"),
    [
        ("1927", False, False),
        ("1927?", False, True),
        ("1927~", True, False),
        ("1927%", True, True),
        ("1927/1930~", True, False),
        ("?1927-~06", True, True),
        ("[1927?,1928]", False, True),
        ("[1927~..]", True, False),
    ],
)
def test_a_mark_anywhere_is_a_doubt_and_widens_nothing(text: str, approximate: bool, uncertain: bool) -> None:
    named = parse(text)
    bare = parse(text.translate({ord(mark): None for mark in "?~%"}))
    assert (named.approximate, named.uncertain) == (approximate, uncertain)
    assert (named.first, named.last) == (bare.first, bare.last)


@pytest.mark.parametrize("code", GROUPINGS)
def test_only_the_months_of_a_season_are_a_convention(code: int) -> None:
    assert parse(f"1927-{code}").conventional == (21 <= code <= 32)


def test_quarters_quadrimesters_and_semesters_fill_the_year_without_a_gap() -> None:
    for codes in (range(33, 37), range(37, 40), range(40, 42)):
        months = [month for code in codes for month in range(GROUPINGS[code][0], GROUPINGS[code][1] + 1)]
        assert months == list(range(1, 13))


@given(st.integers(1, 9999), st.integers(1, 12))
def test_a_month_has_the_days_of_the_calendar(year: int, month: int) -> None:
    assert days_in(year, month) == monthrange(year, month)[1]


@given(st.dates(), st.dates())
def test_an_interval_of_days_is_read_or_refused_by_its_order(one: date, other: date) -> None:
    first, last = sorted((one, other))
    named = parse(f"{first}/{last}")
    assert (named.first, named.last, named.level) == (
        (first.year, first.month, first.day),
        (last.year, last.month, last.day),
        0,
    )
    if first != last:
        with pytest.raises(NotEdtf, match="ends before it begins"):
            parse(f"{last}/{first}")


@given(st.integers(0, 9999), st.lists(st.integers(0, 3), max_size=4))
def test_unknown_digits_name_every_year_that_fits(year: int, unknown: list[int]) -> None:
    digits = [("X" if at in unknown else digit) for at, digit in enumerate(f"{year:04d}")]
    text = "".join(digits)
    named = parse(text)
    assert named.first == (int(text.replace("X", "0")), 1, 1)
    assert named.last == (int(text.replace("X", "9")), 12, 31)


@given(st.text(alphabet="0123456789-/.?~%X[]{},YEST:Z", max_size=24))
def test_no_text_does_anything_but_read_or_refuse(text: str) -> None:
    try:
        named = parse(text)
    except NotEdtf:
        return
    assert named.text == text
    assert named.level in (0, 1, 2)
    if not isinstance(named.first, End) and not isinstance(named.last, End):
        assert named.first <= named.last
