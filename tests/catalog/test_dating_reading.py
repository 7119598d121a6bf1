"""Dates of make: what a dealer types, its EDTF, its years, and the words that say it back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.dating.reading import HOW_TO_WRITE, UnreadableDate, parse_edtf_years, read_date, understood

# The EDTF strings follow the Library of Congress specification of 4 February 2019, levels 0 and 1; the one-year-of
# set is level 2. The years of early, mid and late are the shop's own choice: common practice, no source.
READINGS = [
    ("1927", "1927", 1927, 1927, "1927"),
    ("c. 1931", "1931~", 1931, 1931, "about 1931 (the shop reads this as approximately that year)"),
    ("circa 1931", "1931~", 1931, 1931, "about 1931 (the shop reads this as approximately that year)"),
    ("ca 1931", "1931~", 1931, 1931, "about 1931 (the shop reads this as approximately that year)"),
    ("ca. 1931", "1931~", 1931, 1931, "about 1931 (the shop reads this as approximately that year)"),
    ("1931~", "1931~", 1931, 1931, "about 1931 (the shop reads this as approximately that year)"),
    ("1925 to 1928", "1925/1928", 1925, 1928, "some year from 1925 to 1928"),
    ("1925-1928", "1925/1928", 1925, 1928, "some year from 1925 to 1928"),
    ("1925–1928", "1925/1928", 1925, 1928, "some year from 1925 to 1928"),
    ("1925-28", "1925/1928", 1925, 1928, "some year from 1925 to 1928"),
    ("between 1925 and 1928", "1925/1928", 1925, 1928, "some year from 1925 to 1928"),
    ("1925/1928", "1925/1928", 1925, 1928, "some year from 1925 to 1928"),
    ("c. 1925 to 1928", "1925~/1928~", 1925, 1928, "some year from about 1925 to about 1928"),
    ("1927-05/1928-02", "1927-05/1928-02", 1927, 1928, "some time from May 1927 to February 1928"),
    ("1920s", "192X", 1920, 1929, "some year from 1920 to 1929"),
    ("the 1920's", "192X", 1920, 1929, "some year from 1920 to 1929"),
    ("192X", "192X", 1920, 1929, "some year from 1920 to 1929"),
    (
        "early 1920s",
        "1920/1923",
        1920,
        1923,
        "some year from 1920 to 1923 (by the shop's own reading, “early” means the years ending in 0 to 3)",
    ),
    (
        "mid-1920s",
        "1924/1926",
        1924,
        1926,
        "some year from 1924 to 1926 (by the shop's own reading, “mid” means the years ending in 4 to 6)",
    ),
    (
        "Late 1920s",
        "1927/1929",
        1927,
        1929,
        "some year from 1927 to 1929 (by the shop's own reading, “late” means the years ending in 7 to 9)",
    ),
    ("not before 1919", "1919/..", 1919, None, "1919 or later"),
    ("after 1919", "1919/..", 1919, None, "1919 or later (the shop counts 1919 itself)"),
    ("1919/..", "1919/..", 1919, None, "1919 or later"),
    ("not after 1930", "../1930", None, 1930, "1930 or earlier"),
    ("before 1930", "../1930", None, 1930, "1930 or earlier (the shop counts 1930 itself)"),
    ("../1930", "../1930", None, 1930, "1930 or earlier"),
    ("1927 or 1928", "[1927,1928]", 1927, 1928, "1927 or 1928"),
    ("1929, 1927 or 1928", "[1927,1928,1929]", 1927, 1929, "1927, 1928 or 1929"),
    ("probably 1927", "1927?", 1927, 1927, "probably 1927 (the year is not certain)"),
    ("1927?", "1927?", 1927, 1927, "probably 1927 (the year is not certain)"),
    (
        "probably c. 1927",
        "1927%",
        1927,
        1927,
        "probably about 1927 (the shop reads this as approximately that year, and it is not certain)",
    ),
    ("May 1927", "1927-05", 1927, 1927, "May 1927"),
    ("Sept. 1927", "1927-09", 1927, 1927, "September 1927"),
    ("12 May 1927", "1927-05-12", 1927, 1927, "12 May 1927"),
    ("May 12, 1927", "1927-05-12", 1927, 1927, "12 May 1927"),
    ("29 February 1928", "1928-02-29", 1928, 1928, "29 February 1928"),
    (
        "circa May 1927",
        "1927-05~",
        1927,
        1927,
        "about May 1927 (the shop reads this as approximately that date)",
    ),
]


@pytest.mark.parametrize(
    ("typed", "edtf", "earliest", "latest", "words"), READINGS, ids=[r[0] for r in READINGS]
)
def test_what_a_dealer_types_is_kept_and_said_back(
    typed: str, edtf: str, earliest: int | None, latest: int | None, words: str
) -> None:
    made = read_date(typed)
    assert (made.edtf, made.earliest, made.latest, made.text) == (edtf, earliest, latest, typed)
    assert understood(made) == words


@pytest.mark.parametrize(
    ("typed", "approximate", "uncertain"),
    [("1931", False, False), ("c. 1931", True, False), ("1931?", False, True), ("1931%", True, True)],
)
def test_doubt_is_a_mark_and_not_a_width(typed: str, approximate: bool, uncertain: bool) -> None:
    made = read_date(typed)
    assert (made.approximate, made.uncertain) == (approximate, uncertain)
    assert (made.earliest, made.latest) == (1931, 1931)


@pytest.mark.parametrize(
    ("typed", "code", "sentence"),
    [
        ("1928 to 1925", "reversed", "“1928/1925” ends before it begins. Write the earlier date first."),
        ("1928/1925", "reversed", "“1928/1925” ends before it begins. Write the earlier date first."),
        (
            "1927-06/1927-05",
            "reversed",
            "“1927-06/1927-05” ends before it begins. Write the earlier date first.",
        ),
        ("31 Feb 1927", "no-such-day", "There is no 31 February 1927. Write a day that month has."),
        ("1927-02-29", "no-such-day", "There is no 29 February 1927. Write a day that month has."),
        (
            "1910-12",
            "ambiguous",
            "“1910-12” can be read in two ways. Write December 1910, or 1910 to 1912.",
        ),
        (
            "1900s",
            "ambiguous",
            "“1900s” can be ten years or a hundred. Write 1900 to 1909, or 1900 to 1999.",
        ),
        ("pre-war", "unreadable", f"“pre-war” cannot be read as a date. {HOW_TO_WRITE}"),
    ],
)
def test_a_date_in_doubt_is_refused_with_what_to_write(typed: str, code: str, sentence: str) -> None:
    with pytest.raises(UnreadableDate) as refusal:
        read_date(typed)
    assert (refusal.value.code, str(refusal.value)) == (code, sentence)


@pytest.mark.parametrize(
    "typed",
    ["", "late", "c.", "probably", "19277", "192", "5/12/1927", "c. 1920s", "1925s", "19th century", "../..", "/",
     "1927 or 1927", "1985-XX-05", "1927-00-01", "2004-06~-11", "1920s or 1930s", "12 Mai 1927", "١٩٢٧"],
)  # fmt: skip
def test_what_is_no_date_is_refused(typed: str) -> None:
    with pytest.raises(UnreadableDate) as refusal:
        read_date(typed)
    assert (refusal.value.code, refusal.value.message.endswith(HOW_TO_WRITE)) == ("unreadable", True)


def test_a_month_that_cannot_be_two_years_is_a_month() -> None:
    assert read_date("1927-05").edtf == "1927-05"


@given(st.integers(0, 9999), st.integers(0, 9999))
def test_a_span_of_years_is_read_or_refused_by_its_order(first: int, last: int) -> None:
    typed = f"{first:04d} to {last:04d}"
    if first > last:
        with pytest.raises(UnreadableDate, match="ends before it begins"):
            read_date(typed)
    else:
        assert parse_edtf_years(read_date(typed).edtf) == (first, last)


@given(st.dates())
def test_every_day_of_the_calendar_reads_its_own_words(day: object) -> None:
    made = read_date(str(day))
    assert read_date(understood(made)).edtf == str(day)


@given(st.sampled_from([reading[0] for reading in READINGS]))
def test_the_edtf_of_a_reading_reads_as_itself(typed: str) -> None:
    made = read_date(typed)
    again = read_date(made.edtf)
    assert (again.edtf, again.earliest, again.latest) == (made.edtf, made.earliest, made.latest)


@given(st.text(alphabet="0123456789-/.?~%X[], cmayortlespb", max_size=20))
def test_no_text_does_anything_but_read_or_refuse(text: str) -> None:
    try:
        made = read_date(text)
    except UnreadableDate:
        return
    assert understood(made)
    assert (made.earliest, made.latest) == parse_edtf_years(made.edtf)
    if made.earliest is not None and made.latest is not None:
        assert made.earliest <= made.latest
