"""Dates of make: what a dealer types, its EDTF, its years, and the words that say it back."""

from datetime import date

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from catalog.dating.edtf import End, parse
from catalog.dating.reading import HOW_TO_WRITE, MadeDate, UnreadableDate, read_date, understood

# The EDTF strings follow the Library of Congress specification of 4 February 2019. The years of early, mid and late
# are the shop's own choice: common practice, no source.
NEAR = "(the shop reads this as approximately that year)"
OWN = "by the shop’s own reading, "
EARLY, MID, LATE = (
    f"“{part}” means the years ending in {first} to {last}"
    for part, first, last in (("early", 0, 3), ("mid", 4, 6), ("late", 7, 9))
)
READINGS = [
    ("1927", "1927", 1927, 1927, "1927"),
    ("c. 1931", "1931~", 1931, 1931, f"about 1931 {NEAR}"),
    ("circa 1931", "1931~", 1931, 1931, f"about 1931 {NEAR}"),
    ("ca 1931", "1931~", 1931, 1931, f"about 1931 {NEAR}"),
    ("ca. 1931", "1931~", 1931, 1931, f"about 1931 {NEAR}"),
    ("c1931", "1931~", 1931, 1931, f"about 1931 {NEAR}"),
    ("1931~", "1931~", 1931, 1931, f"about 1931 {NEAR}"),
    ("1925 to 1928", "1925/1928", 1925, 1928, "from 1925 to 1928"),
    ("1925-1928", "1925/1928", 1925, 1928, "from 1925 to 1928"),
    ("1925 – 1928", "1925/1928", 1925, 1928, "from 1925 to 1928"),
    ("1925-28", "1925/1928", 1925, 1928, "from 1925 to 1928"),
    ("1927-33", "1927/1933", 1927, 1933, "from 1927 to 1933"),
    ("1910–12", "1910/1912", 1910, 1912, "from 1910 to 1912"),
    ("1925/26", "1925/1926", 1925, 1926, "from 1925 to 1926"),
    ("1920/21", "1920/1921", 1920, 1921, "from 1920 to 1921"),
    ("between 1925 and 1928", "1925/1928", 1925, 1928, "from 1925 to 1928"),
    ("between c. 1925 and c. 1928", "1925~/1928~", 1925, 1928, "from about 1925 to about 1928"),
    ("1925/1928", "1925/1928", 1925, 1928, "from 1925 to 1928"),
    ("c. 1895 to 1998", "1895~/1998", 1895, 1998, "from about 1895 to 1998"),
    ("c. 1925-28", "1925~/1928", 1925, 1928, "from about 1925 to 1928"),
    ("from 1925 to c. 1928", "1925/1928~", 1925, 1928, "from 1925 to about 1928"),
    ("1925-28?", "1925?/1928?", 1925, 1928, "from probably 1925 to probably 1928"),
    ("1930s to 1990s", "193X/199X", 1930, 1999, "from the 1930s to the 1990s"),
    ("1920s–1930s", "192X/193X", 1920, 1939, "from the 1920s to the 1930s"),
    ("1915 to 1990s", "1915/199X", 1915, 1999, "from 1915 to the 1990s"),
    ("1920s to 2025", "192X/2025", 1920, 2025, "from the 1920s to 2025"),
    ("1927-05/1928-02", "1927-05/1928-02", 1927, 1928, "from May 1927 to February 1928"),
    ("May 1927 to Feb 1928", "1927-05/1928-02", 1927, 1928, "from May 1927 to February 1928"),
    ("1920s", "192X", 1920, 1929, "the 1920s (some year from 1920 to 1929)"),
    ("the 1920's", "192X", 1920, 1929, "the 1920s (some year from 1920 to 1929)"),
    ("192X", "192X", 1920, 1929, "the 1920s (some year from 1920 to 1929)"),
    ("200X", "200X", 2000, 2009, "some year from 2000 to 2009"),
    (
        "c. 1920s",
        "192X~",
        1920,
        1929,
        "about the 1920s (some year from 1920 to 1929; the shop reads this as approximately that decade)",
    ),
    ("early 1920s", "1920/1923", 1920, 1923, f"from 1920 to 1923 ({OWN}{EARLY})"),
    ("mid-1920s", "1924/1926", 1924, 1926, f"from 1924 to 1926 ({OWN}{MID})"),
    ("The late 1920s", "1927/1929", 1927, 1929, f"from 1927 to 1929 ({OWN}{LATE})"),
    (
        "early 1930s to late 1940s",
        "1930/1949",
        1930,
        1949,
        f"from 1930 to 1949 ({OWN}{EARLY}, and {LATE})",
    ),
    ("not before 1919", "1919/..", 1919, None, "1919 or later"),
    ("after 1919", "1919/..", 1919, None, "1919 or later (the shop counts 1919 itself)"),
    ("1919 or later", "1919/..", 1919, None, "1919 or later"),
    ("1919/..", "1919/..", 1919, None, "1919 or later"),
    ("not before the 1920s", "192X/..", 1920, None, "the 1920s or later"),
    ("since 1950", "1950/..", 1950, None, "from 1950 on"),
    ("1950 to now", "1950/..", 1950, None, "from 1950 on"),
    ("c. 1950 – today", "1950~/..", 1950, None, "from about 1950 on"),
    ("not after 1930", "../1930", None, 1930, "1930 or earlier"),
    ("before 1941", "../1941", None, 1941, "1941 or earlier (the shop counts 1941 itself)"),
    ("before May 1941", "../1941-05", None, 1941, "May 1941 or earlier (the shop counts May 1941 itself)"),
    ("until 1930", "../1930", None, 1930, "1930 or earlier (the shop counts 1930 itself)"),
    ("../1930", "../1930", None, 1930, "1930 or earlier"),
    ("1985/", "1985/", 1985, None, "from 1985 to a time not known"),
    ("/1985", "/1985", None, 1985, "from a time not known to 1985"),
    ("1927 or 1928", "[1927,1928]", 1927, 1928, "1927 or 1928"),
    ("1929, 1927 or 1928", "[1927,1928,1929]", 1927, 1929, "1927, 1928 or 1929"),
    ("probably 1927 or 1928", "[1927?,1928?]", 1927, 1928, "probably 1927 or probably 1928"),
    ("[1927,1929..1931]", "[1927,1929..1931]", 1927, 1931, "1927 or 1929 to 1931"),
    ("{1927,1928-05}", "{1927,1928-05}", 1927, 1928, "all of 1927 and May 1928"),
    ("[1927..]", "[1927..]", 1927, None, "1927 or later"),
    ("[..1927]", "[..1927]", None, 1927, "1927 or earlier"),
    ("probably 1927", "1927?", 1927, 1927, "probably 1927 (the year is not certain)"),
    ("1931?", "1931?", 1931, 1931, "probably 1931 (the year is not certain)"),
    ("1931 (?)", "1931?", 1931, 1931, "probably 1931 (the year is not certain)"),
    (
        "probably c. 1927",
        "1927%",
        1927,
        1927,
        "probably about 1927 (the shop reads this as approximately that year, and it is not certain)",
    ),
    ("May 1927", "1927-05", 1927, 1927, "May 1927"),
    ("1927-05", "1927-05", 1927, 1927, "May 1927"),
    ("Sept. 1927", "1927-09", 1927, 1927, "September 1927"),
    ("12 May 1927", "1927-05-12", 1927, 1927, "12 May 1927"),
    ("12th of May 1927", "1927-05-12", 1927, 1927, "12 May 1927"),
    ("May 12, 1927", "1927-05-12", 1927, 1927, "12 May 1927"),
    ("13/6/1927", "1927-06-13", 1927, 1927, "13 June 1927"),
    ("6/13/1927", "1927-06-13", 1927, 1927, "13 June 1927"),
    ("5.5.1927", "1927-05-05", 1927, 1927, "5 May 1927"),
    ("29 February 1928", "1928-02-29", 1928, 1928, "29 February 1928"),
    ("spring 1927", "1927-21", 1927, 1927, "spring 1927"),
    ("Fall of 1927", "1927-23", 1927, 1927, "autumn 1927"),
    ("spring 1927 to winter 1928", "1927-21/1928-24", 1927, 1928, "from spring 1927 to winter 1928"),
    (
        "circa May 1927",
        "1927-05~",
        1927,
        1927,
        "about May 1927 (the shop reads this as approximately that date)",
    ),
    ("1927-XX", "1927-XX", 1927, 1927, "some month of 1927"),
    ("1927-XX-XX", "1927-XX-XX", 1927, 1927, "some day of 1927"),
    ("1927-05-XX", "1927-05-XX", 1927, 1927, "some day of May 1927"),
    ("1927-XX-05", "1927-XX-05", 1927, 1927, "some day from 5 January 1927 to 5 December 1927"),
    ("1950S2", "1950S2", 1900, 1999, "some year from 1900 to 1999"),
    (
        "1927-05?-12",
        "1927-05?-12",
        1927,
        1927,
        "probably 12 May 1927 (the doubt is about a part of the date only)",
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
        ("31 February 1927", "no-such-day", "There is no 31 February 1927. Write a day that month has."),
        ("31/2/1927", "no-such-day", "There is no 31 February 1927. Write a day that month has."),
        ("1927-02-29", "no-such-day", "There is no 29 February 1927. Write a day that month has."),
        (
            "1910-12",
            "ambiguous",
            "“1910-12” can be read in two ways. Write December 1910, or 1910 to 1912.",
        ),
        (
            "c. 1910-12?",
            "ambiguous",
            "“1910-12” can be read in two ways. Write December 1910, or 1910 to 1912.",
        ),
        ("1920-21", "ambiguous", "“1920-21” can be read in two ways. Write spring 1920, or 1920 to 1921."),
        ("5/6/1927", "ambiguous", "“5/6/1927” can be read in two ways. Write 5 June 1927, or 6 May 1927."),
        ("2000s", "ambiguous", "“2000s” can be ten years or a hundred. Write 2000 to 2009, or 2000 to 2099."),
        ("1960-55", "reversed", "“1960/1955” ends before it begins. Write the earlier date first."),
        *(
            (
                typed,
                "two-digits",
                f"“{typed}” leaves open which century it is. Write the year with four digits, such as 1927.",
            )
            for typed in ("27", "’27", "c. 27", "May 27", "5/6/27", "25-28", "late 20s", "’27?")
        ),
        *(
            (
                typed,
                "beyond",
                f"The year {year} is not one of 1000 to 2100. Write the year with four digits.",
            )
            for typed, year in (
                ("0927", 927),
                ("2101", 2101),
                ("-1927", -1927),
                ("2XXX", 2999),
                ("Y19270", 19270),
                ("1927 to 9128", 9128),
            )
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
    ["", "late", "c.", "probably", "19277", "192", "1925s", "19th century", "../..", "/", "next year", "early 1927",
     "1927 or 1927", "1927-00-01", "1920s or 1930s", "12 Mai 1927", "١٩٢٧", "before the 1920s", "1/2/3/1927",
     "to 1927", "now", "1927 to", "between 1925 to 1928", "spring", "13 1927", "0/0/1927", "1927 to next year"],
)  # fmt: skip
def test_what_is_no_date_is_refused(typed: str) -> None:
    with pytest.raises(UnreadableDate) as refusal:
        read_date(typed)
    assert (refusal.value.code, refusal.value.message.endswith(HOW_TO_WRITE)) == ("unreadable", True)


YEARS = st.integers(1000, 2100)


def years_of(edtf: str) -> tuple[int | None, int | None]:
    """First and last year by the EDTF parser alone."""
    named = parse(edtf)
    first, last = (None if isinstance(end, End) else end[0] for end in (named.first, named.last))
    return first, last


def read(text: str) -> MadeDate | UnreadableDate:
    """What `text` is read as, or why it is not."""
    try:
        return read_date(text)
    except UnreadableDate as refusal:
        return refusal


@given(YEARS, YEARS)
def test_a_span_of_years_is_read_or_refused_by_its_order(first: int, last: int) -> None:
    typed = f"{first} to {last}"
    if first > last:
        with pytest.raises(UnreadableDate, match="ends before it begins"):
            read_date(typed)
    else:
        assert years_of(read_date(typed).edtf) == (first, last)


@given(st.dates(date(1000, 1, 1), date(2100, 12, 31)))
def test_every_day_reads_its_own_words(day: date) -> None:
    made = read_date(str(day))
    assert read_date(understood(made)).edtf == str(day)


PLAIN = st.one_of(
    YEARS.map(str),
    st.dates(date(1000, 1, 1), date(2100, 12, 31)).map(lambda day: f"{day.day} {day:%B} {day.year}"),
    st.dates(date(1000, 1, 1), date(2100, 12, 31)).map(lambda day: f"{day:%b}. {day.year}"),
    st.builds("{} {}".format, st.sampled_from(["spring", "summer", "autumn", "winter"]), YEARS),
    st.builds("{}{}0s".format, st.sampled_from(["", "early ", "mid-", "late "]), st.integers(100, 209)),
)
NEARLY = st.builds("{}{}".format, st.sampled_from(["", "c. ", "about "]), PLAIN)
TYPED = st.one_of(
    NEARLY,
    st.builds("{}{}{}".format, NEARLY, st.sampled_from([" to ", "-", " – "]), NEARLY),
    st.builds("between {} and {}".format, NEARLY, NEARLY),
    st.builds(
        "{} {}".format, st.sampled_from(["not before", "after", "since", "not after", "until"]), NEARLY
    ),
    st.builds("{} or {}".format, YEARS, YEARS),
    st.builds("{} to now".format, NEARLY),
)
DOUBTED = st.one_of(TYPED, st.builds("probably {}".format, TYPED), st.builds("{}?".format, TYPED))


@given(st.one_of(DOUBTED, st.sampled_from([reading[0] for reading in READINGS])))
@example("December 1910")
@example("spring 1920")
def test_what_is_kept_is_edtf_of_the_same_years_and_reads_as_itself(typed: str) -> None:
    made = read(typed)
    if isinstance(made, UnreadableDate):
        return
    assert years_of(made.edtf) == (made.earliest, made.latest)
    named = parse(made.edtf)
    assert (made.approximate, made.uncertain) == (named.approximate, named.uncertain)
    assert understood(made)
    assert len(made.edtf) <= max(len(typed), 10)
    again = read(made.edtf)
    if isinstance(again, UnreadableDate):
        # December 1910 is 1910-12, which nobody can tell from three years once it is typed.
        assert again.code == "ambiguous"
    else:
        assert (again.edtf, again.earliest, again.latest) == (made.edtf, made.earliest, made.latest)


@given(st.text(alphabet="0123456789-/.?~%X[]{}, cmayortlespbSY", max_size=24))
def test_no_text_does_anything_but_read_or_refuse(text: str) -> None:
    made = read(text)
    if isinstance(made, UnreadableDate):
        assert made.message.endswith(".")
        return
    assert understood(made)
    assert years_of(made.edtf) == (made.earliest, made.latest)
    if made.earliest is not None and made.latest is not None:
        assert 1000 <= made.earliest <= made.latest <= 2100


@given(st.text(max_size=30))
def test_any_characters_at_all_are_read_or_refused(text: str) -> None:
    made = read(text)
    assert made.code if isinstance(made, UnreadableDate) else understood(made)
