"""Parts of a file, as RFC 9110 (HTTP Semantics, June 2022) tells them in section 14 and its examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.recordings.ranges import Part, Unsatisfiable, still_the_same, wanted

# Section 14.1.2, for a representation of 10,000 bytes.
EXAMPLES_14_1_2 = [
    ("bytes=0-499", Part(0, 499), "the first 500 bytes"),
    ("bytes=500-999", Part(500, 999), "the second 500 bytes"),
    ("bytes=-500", Part(9500, 9999), "the final 500 bytes"),
    ("bytes=9500-", Part(9500, 9999), "the final 500 bytes, the other way"),
    ("bytes=0-0,-1", None, "the first and last bytes only: several parts, answered with the whole"),
    ("bytes= 0-999, 4500-5499, -1000", None, "the first, middle, and last 1000 bytes"),
    ("bytes=500-600,601-999", None, "the second 500 bytes in two parts"),
    ("bytes=500-700,601-999", None, "the same, overlapping"),
]


@pytest.mark.parametrize(("header", "part", "what"), EXAMPLES_14_1_2)
def test_section_14_1_2_examples(header: str, part: Part | None, what: str) -> None:
    assert wanted(header, 10_000) == part, what


# Section 14.4, for a representation of 1234 bytes.
EXAMPLES_14_4 = [
    ("bytes=42-1233", "bytes 42-1233/1234"),
    ("bytes=0-499", "bytes 0-499/1234"),
    ("bytes=500-999", "bytes 500-999/1234"),
    ("bytes=500-", "bytes 500-1233/1234"),
    ("bytes=-500", "bytes 734-1233/1234"),
]


@pytest.mark.parametrize(("header", "content_range"), EXAMPLES_14_4)
def test_section_14_4_content_range(header: str, content_range: str) -> None:
    part = wanted(header, 1234)
    assert part is not None
    assert part.told(1234) == content_range


SECTION_14_1_1 = [
    ("bytes=500-499", "an int-range whose last-pos is less than its first-pos is invalid"),
    ("bytes=0-1,9-8", "one invalid range makes the specifier invalid"),
    ("bytes=", "a set has at least one range"),
    ("bytes", "a specifier has a unit and a set"),
    ("bytes=a-b", "positions are digits"),
    ("bytes=1-2-3", "a range has two positions"),
    ("bytes=-", "a suffix has a length"),
    ("bytes=0x1-", "digits are decimal"),
    ("bytes=٣-٤", "digits are those of ASCII"),
    ("lines=0-4", "section 14.2: a unit that is not understood is ignored"),
]


@pytest.mark.parametrize(("header", "why"), SECTION_14_1_1)
def test_section_14_1_1_what_is_not_valid_is_ignored(header: str, why: str) -> None:
    assert wanted(header, 10_000) is None, why


SECTION_14_1_2_LIMITS = [
    ("bytes=9999-", Part(9999, 9999), "the last byte"),
    ("bytes=0-99999", Part(0, 9999), "a last-pos beyond the end means the rest"),
    ("bytes=-99999", Part(0, 9999), "a suffix longer than the whole is the whole"),
    ("BYTES=0-4", Part(0, 4), "section 14.1: names of units are case-insensitive"),
    ("bytes=0-4,", Part(0, 4), "section 5.6.1.2: empty elements of a list are ignored"),
    ("bytes=0-4 , 20000-", Part(0, 4), "of two parts only one lies in the file"),
]


@pytest.mark.parametrize(("header", "part", "why"), SECTION_14_1_2_LIMITS)
def test_section_14_1_2_limits(header: str, part: Part, why: str) -> None:
    assert wanted(header, 10_000) == part, why


@pytest.mark.parametrize("header", ["bytes=10000-", "bytes=10000-10010", "bytes=-0", "bytes=10000-,-0"])
def test_section_14_1_2_and_15_5_17_a_set_without_a_byte_in_the_file_is_unsatisfiable(header: str) -> None:
    with pytest.raises(Unsatisfiable):
        wanted(header, 10_000)


SECTION_13_1_5 = [
    ('"abc"', True, "the same strong tag"),
    ('"abd"', False, "another tag"),
    ('W/"abc"', False, "a weak tag never matches here"),
    ("Wed, 10 Jun 2026 12:00:00 GMT", True, "the same date"),
    ("Wed, 10 Jun 2026 12:00:01 GMT", False, "a later date is no match: it must be the same"),
    ("yesterday", False, "no date at all"),
]


@pytest.mark.parametrize(("if_range", "same", "why"), SECTION_13_1_5)
def test_section_13_1_5_if_range(if_range: str, same: bool, why: str) -> None:
    assert still_the_same(if_range, '"abc"', "Wed, 10 Jun 2026 12:00:00 GMT") is same, why


@given(st.integers(1, 5000), st.integers(0, 6000), st.one_of(st.none(), st.integers(0, 6000)))
def test_a_part_is_what_slicing_gives(size: int, first: int, last: int | None) -> None:
    whole = bytes(place % 251 for place in range(size))
    header = f"bytes={first}-{'' if last is None else last}"
    sliced = whole[first : None if last is None else last + 1]
    if last is not None and last < first:
        assert wanted(header, size) is None
    elif not sliced:
        with pytest.raises(Unsatisfiable):
            wanted(header, size)
    else:
        part = wanted(header, size)
        assert part is not None
        assert whole[part.first : part.last + 1] == sliced
        assert part.length == len(sliced)


@given(st.text(max_size=30), st.integers(1, 100))
def test_no_header_breaks_it(header: str, size: int) -> None:
    try:
        part = wanted(f"bytes={header}", size)
    except Unsatisfiable:
        return
    assert part is None or 0 <= part.first <= part.last < size
