"""How a recording is told and drawn, and what is read as captions and chapters; a second library is the referee."""

import io
import re
from decimal import Decimal

import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from catalog.recordings.rules import BARS, HEIGHT, drawn, spoken_length, spread, waveform
from catalog.recordings.tags import EMPTY, without_comments
from catalog.recordings.vtt import Cue, NotVtt, as_lines, clock, read, read_chapters, stamp, written

# Common practice, no source.
LENGTHS = [
    ("0.200", "1 s"),
    ("14.0", "14 s"),
    ("59.4", "59 s"),
    ("59.6", "1 min"),
    ("134", "2 min 14 s"),
    ("3599", "59 min 59 s"),
    ("3600", "1 h"),
    ("3780", "1 h 3 min"),
    ("7199.9", "2 h"),
]


@pytest.mark.parametrize(("seconds", "words"), LENGTHS)
def test_a_length_in_words(seconds: str, words: str) -> None:
    assert spoken_length(Decimal(seconds)) == words


def test_a_waveform_has_the_loudest_of_each_stretch() -> None:
    assert waveform([0, 5, 10, 0, 0, 20], 3) == [25, 50, 100]
    assert waveform([7, 7], 400) == [100, 100]
    assert waveform([0, 0, 0], 2) == [0, 0]
    assert waveform([], 5) == []


@given(st.lists(st.integers(0, 32768), max_size=2000), st.integers(1, 500))
def test_a_waveform_keeps_its_bounds_and_its_loudest(levels: list[int], many: int) -> None:
    peaks = waveform(levels, many)
    assert len(peaks) == min(len(levels), many)
    assert all(0 <= peak <= 100 for peak in peaks)
    if any(levels):
        assert max(peaks) == 100


@given(st.lists(st.integers(0, 100), min_size=1, max_size=400))
def test_the_drawing_stays_in_its_frame(peaks: list[int]) -> None:
    bars = re.findall(r"M(\d+) (\d+)v(\d+)", drawn(peaks))
    assert len(bars) == min(len(peaks), BARS)
    for place, top, long in bars:
        assert int(place) < BARS
        assert 2 * int(top) + int(long) == HEIGHT, "about the middle"
        assert int(top) >= 1


@given(st.lists(st.sampled_from("abc"), max_size=12), st.integers(0, 10**7))
def test_chapters_spread_evenly_rise_and_fill_the_whole(titles: list[str], lasts: int) -> None:
    parts = spread(titles, lasts)
    assert [title for *_, title in parts] == titles[:lasts]
    if parts:
        assert parts[0][0] == 0
        assert parts[-1][1] == lasts
        lengths = [end - begin for begin, end, _ in parts]
        assert min(lengths) > 0
        assert max(lengths) - min(lengths) <= 1
        cues = [Cue(begin, end, title) for begin, end, title in parts]
        assert read_chapters(written(cues), lasts) == cues


GOOD = [
    "WEBVTT",
    "WEBVTT a title\n\n00:01.000 --> 00:02.000\nHello",
    "\ufeffWEBVTT\r\n\r\n1\r\n00:00:01.000 --> 00:00:02.500 align:start line:0\r\nHello\r\nthere\r\n",
    "WEBVTT\n\nNOTE of the one who wrote it\n\nfirst\n00:01.000 --> 00:02.000\n<v Ada>Hello &amp; welcome</v>\n",
    "WEBVTT\n\n00:01.000 --> 00:02.000\none\n\n00:01.500 --> 00:03.000\ntwo\n\n100:00:00.000 --> 100:00:01.000\nlate\n",
]


@pytest.mark.parametrize("text", GOOD)
def test_what_is_read_the_referee_reads_alike(text: str) -> None:
    plain = text.removeprefix("\ufeff")
    referee = webvtt.from_buffer(io.StringIO(plain.replace("\r\n", "\n")))
    assert [(stamp(cue.begins), stamp(cue.ends), cue.text) for cue in read(text)] == [
        (one.start, one.end, one.raw_text) for one in referee
    ]


BAD = [
    ("", "begins with a line that says WEBVTT"),
    ("Hello", "begins with a line that says WEBVTT"),
    ("WEBVTTT\n\n00:01.000 --> 00:02.000\nHello", "begins with a line that says WEBVTT"),
    ("1\n00:00:01,000 --> 00:00:02,000\nHello", "begins with a line that says WEBVTT"),
    ("WEBVTT\n00:01.000 --> 00:02.000\nHello", "Line 2: leave a line empty"),
    ("WEBVTT\n\n00:00:01,000 --> 00:00:02,000\nHello", "Line 3: “00:00:01,000 --> 00:00:02,000” is no time"),
    ("WEBVTT\n\n0:01.000 --> 0:02.000\nHello", "Line 3: “0:01.000"),
    ("WEBVTT\n\n00:61.000 --> 00:62.000\nHello", "is no time"),
    ("WEBVTT\n\n00:02.000 --> 00:02.000\nHello", "Line 3: it ends before it has begun"),
    (
        "WEBVTT\n\n00:02.000 --> 00:03.000\nb\n\n00:01.000 --> 00:02.000\na",
        "Line 6: it begins before the one above",
    ),
    ("WEBVTT\n\n00:01.000 --> 00:02.000\n", "Line 3: no words stand below"),
    ("WEBVTT\n\nHello", "Line 3: here a time was awaited"),
    ("WEBVTT\n\n00:01.000 --> 00:02.000 blink\nHello", "“blink” behind the time cannot be read"),
    (
        "WEBVTT\n\n00:01.000 --> 00:02.000\nHello\n00:02.000 --> 00:03.000\nthere",
        "leave a line empty above each time",
    ),
    ("WEBVTT\n\nSTYLE\n::cue { color: red }\n", "Line 3: styles and regions are not taken"),
]


@pytest.mark.parametrize(("text", "says"), BAD)
def test_what_cannot_be_read_is_refused_with_its_line(text: str, says: str) -> None:
    with pytest.raises(NotVtt) as refused:
        read(text)
    assert says in refused.value.message


CUES = st.lists(
    st.tuples(
        st.integers(0, 400_000_000),
        st.integers(1, 10**6),
        st.from_regex(r"[A-Za-z][a-z ,.]{0,20}[a-z]", fullmatch=True),
    ),
    max_size=8,
).map(
    lambda rows: [
        Cue(begin, begin + long, text) for begin, long, text in sorted(rows, key=lambda row: row[0])
    ]
)


@given(CUES)
def test_what_is_written_is_read_again_by_both(cues: list[Cue]) -> None:
    text = written(cues)
    assert read(text) == cues
    referee = webvtt.from_buffer(io.StringIO(text))
    assert [(one.start, one.end, one.text) for one in referee] == [
        (stamp(cue.begins), stamp(cue.ends), cue.text) for cue in cues
    ]


def test_chapters_are_typed_as_lines_too() -> None:
    cues = read_chapters("0:00 What it is\n\n0:14.5 Neck & action\n1:00:02 The last waltz\n", 3_700_000)
    assert cues == [
        Cue(0, 14_500, "What it is"),
        Cue(14_500, 3_602_000, "Neck &amp; action"),
        Cue(3_602_000, 3_700_000, "The last waltz"),
    ]
    assert cues[1].words == "Neck & action"
    assert as_lines(cues, 3_700_000) == "0:00 What it is\n0:14.500 Neck & action\n1:00:02 The last waltz"


def test_chapters_with_a_gap_stay_webvtt() -> None:
    assert as_lines([Cue(0, 1000, "a"), Cue(2000, 3000, "b")], 3000) is None


WRONG_CHAPTERS = [
    ("What it is", "Line 1: write the time and then the title"),
    ("0:10 One\n0:10 Two", "Line 2: it begins before the one above"),
    ("0:00 One\n0:31 Two", "“Two” begins at 0:31, and by then the recording has ended"),
    (
        "WEBVTT\n\n00:00.000 --> 00:05.000\nOne\n\n00:04.000 --> 00:06.000\nTwo",
        "“Two” begins before “One” has ended",
    ),
    ("00:00.000 --> 00:05.000\nOne", "begins with a line that says WEBVTT"),
]


@pytest.mark.parametrize(("text", "says"), WRONG_CHAPTERS)
def test_chapters_that_cannot_be_are_refused(text: str, says: str) -> None:
    with pytest.raises(NotVtt) as refused:
        read_chapters(text, 30_000)
    assert says in refused.value.message


@pytest.mark.parametrize(
    ("at", "told"), [(0, "0:00"), (62_000, "1:02"), (3_870_000, "1:04:30"), (62_500, "1:02.500")]
)
def test_an_instant_as_people_write_it(at: int, told: str) -> None:
    assert clock(at) == told


def test_the_comments_of_vorbis_are_emptied_and_the_rest_stands() -> None:
    first, third = b"\x01vorbis" + bytes(range(23)), b"\x05vorbis" + bytes(900)
    for comments in (b"\x03vorbis" + b"A" * 40, b"\x03vorbis" + b"A" * 255, b"\x03vorbis" + b"A" * 700):
        laced = b"\xff" * (len(comments) // 255) + bytes([len(comments) % 255])
        head = b"\x02" + bytes([len(first)]) + laced + first + comments + third
        assert without_comments(head) == b"\x02" + bytes([len(first), len(EMPTY)]) + first + EMPTY + third
