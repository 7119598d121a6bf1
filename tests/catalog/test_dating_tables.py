"""Numbers as found, and tables of numbers as CSV. How both are written is common practice, no source."""

import csv
import io
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.dating.numbers import Figures, lines_that_hold, split_number
from catalog.dating.reading import read_date
from catalog.dating.tables import (
    HEADER,
    MOST_LINES,
    SHOWN,
    TableLine,
    UnreadableTable,
    decoded,
    read_table,
)


@pytest.mark.parametrize(
    ("found", "prefix", "figure", "within"),
    [
        ("4417", "", 4417, ""),
        ("  4417 ", "", 4417, ""),
        ("0417", "", 417, ""),
        ("C 12345", "C", 12345, ""),
        ("C12345", "C", 12345, ""),
        ("c-12345", "C", 12345, ""),
        ("C.12 345", "C", 12345, ""),
        ("R 1187", "R", 1187, ""),
        ("R. P. 1187", "RP", 1187, ""),
        ("79 402", "", 79402, ""),
        ("79,402", "", 79402, ""),
        ("79.402", "", 79402, ""),
        ("1 079 402", "", 1079402, ""),
        ("1188-9", "", 1188, "9"),
        ("1188 / 12", "", 1188, "12"),
        ("C 1188-9", "C", 1188, "9"),
        ("No. 4417", "", 4417, ""),
        ("no 4417", "", 4417, ""),
        ("No4417", "", 4417, ""),
        ("#4417", "", 4417, ""),
        ("No. C 4417", "C", 4417, ""),
    ],
)
def test_a_number_comes_apart(found: str, prefix: str, figure: int, within: str) -> None:
    assert split_number(found) == Figures(prefix, figure, within)


@pytest.mark.parametrize(
    "found",
    [
        "",
        "C",
        "44?7",
        "4417?",
        "44..7",
        "4037 2",
        "79 40",
        "4417 B",
        "12C345",
        "1188-",
        "-9",
        "1188-9-2",
        "four",
    ],
)
def test_what_leaves_two_readings_is_not_read(found: str) -> None:
    assert split_number(found) is None


def line(prefix: str, first: int, last: int, made: str = "1925", number: int = 0) -> TableLine:
    return TableLine(number, prefix, first, last, read_date(made), "")


def test_all_lines_that_hold_a_number_are_found_and_no_nearest_one() -> None:
    plain, late, marked = line("", 4000, 4999), line("", 4900, 5999), line("C-", 4000, 4999)
    lines = [plain, late, marked]
    assert lines_that_hold(Figures("", 4000), lines) == [plain]
    assert lines_that_hold(Figures("", 4999), lines) == [plain, late]
    assert lines_that_hold(Figures("C", 4950), lines) == [marked]
    assert lines_that_hold(Figures("", 3999), lines) == []
    assert lines_that_hold(Figures("", 6000), lines) == []
    assert lines_that_hold(Figures("D", 4500), lines) == []


@given(
    st.text("CRX", max_size=3),
    st.integers(0, 10**17),
    st.sampled_from(["{}{}", "{} {}", "{}-{}", "No. {}{}"]),
)
def test_however_it_is_written_it_is_the_same_number(prefix: str, figure: int, written: str) -> None:
    text = written.format(prefix, figure).strip(" -")
    assert split_number(text) == Figures(prefix, figure)


PLAIN = """prefix,first,last,made,page
,1,4000,1919 to 1922,12
,4001,8200,1923,12
C,1,900,c. 1924,13
"""


def told(text: str) -> list[tuple[int, str, int, int, str, str]]:
    return [(row.line, row.prefix, row.first, row.last, row.made.edtf, row.page) for row in read_table(text)]


WRITTEN: list[Callable[[str], str]] = [
    lambda text: text,
    lambda text: "\ufeff" + text,
    lambda text: text.replace(",", ";"),
    lambda text: text.replace(",", "\t"),
    lambda text: text.replace("\n", "\r\n"),
    lambda text: text.replace("prefix,first,last,made,page", " Prefix , FIRST,Last,Made,Page"),
    lambda text: text.replace("1919 to 1922", '"1919 to 1922"'),
]


@pytest.mark.parametrize("write", WRITTEN)
def test_a_table_is_read_however_it_was_saved(write: Callable[[str], str]) -> None:
    assert told(write(PLAIN)) == [
        (2, "", 1, 4000, "1919/1922", "12"),
        (3, "", 4001, 8200, "1923", "12"),
        (4, "C", 1, 900, "1924~", "13"),
    ]


def test_columns_stand_in_any_order_and_two_may_be_missing() -> None:
    assert told("made;last;first\n1923;8 200;4001\n\n") == [(2, "", 4001, 8200, "1923", "")]


def test_lines_are_counted_as_an_editor_counts_them() -> None:
    text = 'prefix,first,last,made,page\n\n,1,10,1923,"12"\n,11,x,1924,12\n'
    with pytest.raises(UnreadableTable, match=r"^Line 4: “x” is no number"):
        read_table(text)


REFUSED = [
    ("", "There is nothing to load."),
    ("\n \n", "There is nothing to load."),
    (HEADER, "There is no line under the header."),
    ("1,4000,1923", "“1” is no column of a table."),
    ("first,made\n1,1923", "The column “last” is missing."),
    ("first,last,made,first\n1,2,1923,1", "The column “first” stands there twice."),
    ("first,last,made\n1,2", "Line 2 has 2 columns, and the header has 3."),
    ("first,last,made\n,2,1923", "Line 2: the first number is missing."),
    ("first,last,made\n1,,1923", "Line 2: the last number is missing."),
    ("first,last,made\n5,2,1923", "Line 2: the last number (2) comes before the first (5)."),
    ("first,last,made\n1,2,", "Line 2: the years are missing."),
    ("first,last,made\n1,2,soon", "Line 2: "),
    ("first,last,made\nC1,C2,1923", "Line 2: “C1” is no number."),
    ("first,last,made\n1,9999999999999999999,1923", "Line 2: “9999999999999999999” is no number."),
    ("first,last,made\n-1,2,1923", "Line 2: “-1” is no number."),
    ("first,last,made,page\n1,2,1923," + "p" * 41, "Line 2: “page” has 40 characters at most."),
    ('first,last,made\n"1"2,3,1923', "Line 2: a cell cannot be told from the next."),
    ('first,last,made\n1,3,"1923', "Line 2: a cell cannot be told from the next."),
    ("first,last,made\n1,3,\x001923", "This is not a text"),
    ("first,last,made\n1,5,1923\n5,9,1924", "Lines 2 and 3 share numbers and differ in their years: "),
]


@pytest.mark.parametrize(("text", "sentence"), REFUSED)
def test_a_table_is_refused_with_a_sentence(text: str, sentence: str) -> None:
    with pytest.raises(UnreadableTable) as refused:
        read_table(text)
    assert refused.value.sentences[0].startswith(sentence)


def test_every_wrong_line_is_named_up_to_a_number() -> None:
    wrong = "\n".join(["first,last,made", *["1,x,1923"] * (SHOWN + 7)])
    with pytest.raises(UnreadableTable) as refused:
        read_table(wrong)
    assert len(refused.value.sentences) == SHOWN + 1
    assert refused.value.sentences[-1] == "And 7 more like these."


def test_ranges_of_the_same_years_may_overlap_and_so_may_those_of_other_prefixes() -> None:
    assert len(read_table("prefix,first,last,made\n,1,9,1923\n,5,12,1923\nC,1,9,1924\n")) == 3
    with pytest.raises(UnreadableTable, match="Lines 2 and 3"):
        read_table("prefix,first,last,made\nC,1,9,1923\nc.,5,12,1924\n")


def test_a_table_too_long_is_refused() -> None:
    with pytest.raises(UnreadableTable, match="20,000 lines at most"):
        read_table("first,last,made\n" + "1,2,1923\n" * (MOST_LINES + 1))


def test_a_file_in_another_encoding_is_refused_by_line() -> None:
    assert decoded("\ufeffé".encode()) == "é"
    with pytest.raises(UnreadableTable, match=r"Line 2 is not in UTF-8"):
        decoded("first\né".encode("cp1252"))


RANGES = st.lists(
    st.tuples(
        st.sampled_from(["", "C"]), st.integers(0, 30), st.integers(0, 30), st.sampled_from(["1923", "1924"])
    ),
    min_size=1,
    max_size=8,
)


@given(RANGES)
def test_whatever_overlaps_with_other_years_is_found(rows: list[tuple[str, int, int, str]]) -> None:
    rows = [(prefix, min(one, other), max(one, other), made) for prefix, one, other, made in rows]
    odds = any(
        one[0] == other[0] and one[1] <= other[2] and other[1] <= one[2] and one[3] != other[3]
        for one in rows
        for other in rows
    )
    text = "prefix,first,last,made\n" + "\n".join(",".join(map(str, row)) for row in rows)
    if odds:
        with pytest.raises(UnreadableTable, match="share numbers"):
            read_table(text)
    else:
        read = [(row.prefix, row.first, row.last, row.made.edtf) for row in read_table(text)]
        assert read == rows


@given(RANGES, st.sampled_from([",", ";", "\t"]), st.text(alphabet='p.,;" 12', max_size=8))
def test_what_a_csv_writer_writes_is_read(
    rows: list[tuple[str, int, int, str]], delimiter: str, page: str
) -> None:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter)
    writer.writerow(["prefix", "first", "last", "made", "page"])
    writer.writerow(["C", rows[0][1], 31, "1925 to 1926", page])
    (read,) = read_table(out.getvalue())
    assert (read.first, read.last, read.page) == (rows[0][1], 31, page.strip())


def answer(text: str) -> list[str]:
    """What a table is read as, or refused with."""
    try:
        return [row.numbers for row in read_table(text)]
    except UnreadableTable as refused:
        return refused.sentences


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_with_a_sentence(text: str) -> None:
    for candidate in (text, f"{HEADER}\n{text}"):
        assert all(sentence.strip() for sentence in answer(candidate))
        assert answer(candidate)
