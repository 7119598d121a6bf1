"""Sound and film taken in: what is kept, what is refused by its name, and what the worker makes of it."""

import errno
import hashlib
import io
import os
import struct
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from catalog.models import Instrument, Recording
from catalog.recordings.actions import change_recording, move, put_back, receive_recording, take_off
from catalog.recordings.intake import recording_path
from catalog.recordings.media import played_path, poster_path
from catalog.recordings.tasks import order
from shop.jobs.worker import drain
from shop.models import Entry, Job
from shop.refusal import Refused
from tests.factories import NOON, InstrumentFactory, PhotographFactory
from tests.support.sounds import SIZE, TAGS, film, sound, tags_in, wav, wav_with_tags

pytestmark = pytest.mark.django_db

Make = Callable[[], bytes]
State = Recording.State


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    settings.RECORDINGS_DIR, settings.PLAYED_DIR = tmp_path / "recordings", tmp_path / "played"


def receive(content: bytes, name: str = "tune.wav", instrument: Instrument | None = None) -> Recording:
    upload = SimpleUploadedFile(name, content)
    return receive_recording(instrument or InstrumentFactory(), upload, by=None, at=NOON)


def prepared(content: bytes, name: str = "tune.wav") -> Recording:
    recording = receive(content, name)
    drain()
    recording.refresh_from_db()
    return recording


def played(recording: Recording) -> bytes:
    return played_path(recording.token, recording.played_suffix).read_bytes()


def kept_files() -> list[str]:
    return sorted(path.name for path in Path(settings.RECORDINGS_DIR).rglob("*") if path.is_file())


TAKEN: list[tuple[str, Make, str, str, str]] = [
    ("tune.wav", wav, "wav", "sound", "wav"),
    ("tune.flac", lambda: sound("flac"), "flac", "sound", "flac"),
    ("tune.mp3", lambda: sound("mp3"), "mp3", "sound", "mp3"),
    ("tagged.mp3", lambda: sound("mp3", tags=TAGS), "mp3", "sound", "mp3"),
    ("tune.m4a", lambda: sound("m4a"), "m4a", "sound", "m4a"),
    ("tune.webm", lambda: sound("webm"), "webm", "sound", "webm"),
    ("old.webm", lambda: sound("vorbis.webm"), "webm", "sound", "webm"),
    ("film.mp4", lambda: film("mp4"), "mp4", "film", "mp4"),
    ("film.mov", lambda: film("mov"), "mov", "film", "mp4"),
    ("film.webm", lambda: film("webm"), "webm", "film", "webm"),
    ("silent.mp4", lambda: film("silent.mp4"), "mp4", "film", "mp4"),
    # The name says one thing, the content another: the content is believed.
    ("tune.txt", wav, "wav", "sound", "wav"),
    ("film.mp3", lambda: film("mp4"), "mp4", "film", "mp4"),
]


@pytest.mark.parametrize(("name", "make", "suffix", "what", "served"), TAKEN)
def test_a_recording_is_kept_byte_for_byte_and_made_ready(
    name: str, make: Make, suffix: str, what: str, served: str
) -> None:
    content = make()
    recording = prepared(content, name)
    digest = hashlib.sha256(content).hexdigest()
    kept = (recording.original_name, recording.sha256, recording.suffix, recording.bytes, recording.what)
    assert kept == (name, digest, suffix, len(content), what)
    place = recording_path(digest, suffix)
    assert place.read_bytes() == content
    assert place.stat().st_mode & 0o077 == 0
    assert (recording.state, recording.played_suffix) == (State.READY, served)
    with av.open(io.BytesIO(played(recording))) as file:
        assert [stream.type for stream in file.streams if stream.type == "video"] == ["video"] * (
            what == "film"
        )


REFUSED: list[tuple[str, Make, str, str]] = [
    (
        "notes.txt",
        lambda: b"Strung with light strings.",
        "wrong-type",
        "is no sound or film that can be read",
    ),
    ("run.sh", lambda: b"#!/bin/sh\nrm -rf /\n", "wrong-type", "is no sound or film"),
    ("page.html", lambda: b"<script>alert(1)</script>", "wrong-type", "is no sound or film"),
    # Lists of addresses, which a reader of films would follow to other files and hosts.
    (
        "list.m3u8",
        lambda: b"#EXTM3U\n#EXTINF:1,\nhttp://films.example/1.ts\n",
        "wrong-type",
        "is no sound or film",
    ),
    ("list.txt", lambda: b"ffconcat version 1.0\nfile /etc/passwd\n", "wrong-type", "is no sound or film"),
    ("empty.wav", lambda: b"", "wrong-type", "is no sound or film"),
    ("tune.ogg", lambda: sound("ogg"), "wrong-type", "Send WAV, FLAC, MP3, MP4 or WebM."),
    ("film.mkv", lambda: film("matroska.mkv"), "wrong-type", "Send WAV, FLAC, MP3, MP4 or WebM."),
    ("head.mp4", lambda: film("mp4")[:200], "truncated", "is cut short or damaged"),
    ("half.mp4", lambda: film("mp4")[:-3000], "truncated", "is cut short or damaged"),
    ("half.wav", lambda: wav()[:3000], "truncated", "is cut short or damaged"),
    ("head.flac", lambda: b"fLaC" + bytes(40), "truncated", "is cut short or damaged"),
    (
        "old.mp4",
        lambda: film("mpeg4.mp4"),
        "coding",
        "holds film that many browsers cannot play (mpeg4). Save it as",
    ),
    (
        "alac.m4a",
        lambda: sound("alac.m4a"),
        "coding",
        "holds sound that many browsers cannot play (alac). Save it as",
    ),
]


@pytest.mark.parametrize(("name", "make", "code", "says"), REFUSED)
def test_what_cannot_be_played_is_refused_by_name_and_leaves_nothing(
    name: str, make: Make, code: str, says: str
) -> None:
    with pytest.raises(Refused) as refused:
        receive(make(), name)
    assert refused.value.code == code
    assert refused.value.message.startswith(name)
    assert says in refused.value.message
    assert kept_files() == []
    assert not Recording.objects.exists()
    assert not Job.objects.exists()
    assert not Entry.objects.exists()


def with_its_head_first() -> bytes:
    """A film as it is served: what it needs first stands first, so that a half of it can be opened."""
    return played(prepared(film("mp4", seconds=4), "whole.mp4"))


def half(content: bytes) -> bytes:
    return content[: len(content) // 2]


DAMAGED: list[tuple[str, Make]] = [
    ("half.flac", lambda: half(sound("flac", seconds=4))),
    ("half.webm", lambda: half(film("webm", seconds=4))),
    ("half.mp4", lambda: half(with_its_head_first())),
]


@pytest.mark.parametrize(("name", "make"), DAMAGED)
def test_what_ends_before_its_end_is_refused_once_it_is_played(name: str, make: Make) -> None:
    recording = prepared(make(), name)
    assert recording.state == State.REFUSED
    assert recording.refusal.startswith(f"{name} is cut short or damaged")
    assert not played_path(recording.token, recording.played_suffix).exists()


def test_a_file_above_the_limit_of_recordings_is_refused(settings: Any) -> None:
    settings.MAX_RECORDING_BYTES = 1024 * 1024
    with pytest.raises(Refused, match=r"^big\.wav is larger than 1 MB\. Send a smaller copy\.$"):
        receive(wav(seconds=70), "big.wav")
    assert kept_files() == []


def test_a_full_disk_is_said_by_name_and_leaves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*args: Any) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", full)
        with pytest.raises(Refused, match=r"^tune\.wav was not kept: the disk is full"):
            receive(wav())
    assert kept_files() == []


def test_the_same_file_twice_is_refused_on_one_record_and_taken_on_another() -> None:
    instrument = InstrumentFactory()
    first = receive(wav(), "tune.wav", instrument)
    with pytest.raises(Refused, match=r"^again\.wav is here already, as “tune\.wav”\.$"):
        receive(wav(), "again.wav", instrument)
    take_off(first, by=None, at=NOON)
    with pytest.raises(Refused, match=r"taken off: put it back instead"):
        receive(wav(), "again.wav", instrument)
    receive(wav())
    assert len(kept_files()) == 1


# The length of each is known because it was made so long.
LENGTHS: list[tuple[str, Make, str, str]] = [
    ("a.wav", lambda: wav(seconds=1.234, rate=22050), "1.234", "0.0005"),
    ("a.flac", lambda: sound("flac", seconds=1.5), "1.500", "0.0005"),
    ("a.mp3", lambda: sound("mp3", seconds=1.5), "1.500", "0.0005"),
    ("a.m4a", lambda: sound("m4a", seconds=1.5), "1.500", "0.001"),
    ("a.webm", lambda: sound("webm", seconds=1.5), "1.500", "0.0005"),
    ("f.mp4", lambda: film("mp4", seconds=2), "2.000", "0.001"),
    # WebM tells of its last packet of sound only where it begins: at most one packet of 20 ms more.
    ("f.webm", lambda: film("webm", seconds=2), "2.000", "0.020"),
]


@pytest.mark.parametrize(("name", "make", "seconds", "within"), LENGTHS)
def test_the_length_is_exact(name: str, make: Make, seconds: str, within: str) -> None:
    found = prepared(make(), name).seconds
    assert found is not None
    assert abs(found - Decimal(seconds)) <= Decimal(within)


def test_the_waveform_follows_the_sound() -> None:
    peaks = prepared(wav(seconds=8, loudness=(0.8, 0, 0.4, 0.2))).peaks
    assert len(peaks) == 400
    assert peaks[50] >= 98
    assert peaks[150] == 0
    assert 48 <= peaks[250] <= 52
    assert 23 <= peaks[350] <= 27
    assert prepared(wav(loudness=(0,))).peaks == [0] * 50, "silence is flat"


def test_a_film_has_the_waveform_of_its_sound_and_a_poster() -> None:
    recording = prepared(film("mp4", seconds=2), "film.mp4")
    assert len(recording.peaks) >= 200
    assert (recording.width, recording.height) == SIZE
    for suffix, form in (("avif", "AVIF"), ("webp", "WEBP"), ("jpg", "JPEG")):
        with Image.open(poster_path(recording.token, suffix)) as poster:
            assert (poster.format, poster.size) == (form, SIZE)
            assert not poster.getexif()
    assert recording.poster_address == f"/recordings/{recording.token}/poster.webp"
    assert prepared(film("silent.mp4"), "silent.mp4").peaks == []


def turned(content: bytes) -> bytes:
    """The film as a telephone held upright writes it: as it lay in the camera, with a turn of 90° beside it.

    Source: ISO/IEC 14496-12, 8.3.2, the matrix of a track; its place in the file found by its usual value.
    """
    straight = struct.pack(">9i", 0x10000, 0, 0, 0, 0x10000, 0, 0, 0, 0x40000000)
    place = content.index(straight, content.index(b"tkhd"))
    turn = struct.pack(">9i", 0, 0x10000, 0, -0x10000, 0, 0, SIZE[1] << 16, 0, 0x40000000)
    return content[:place] + turn + content[place + len(turn) :]


def test_a_film_from_a_telephone_stands_upright() -> None:
    recording = prepared(turned(film("mp4")), "film.mp4")
    assert (recording.width, recording.height) == (SIZE[1], SIZE[0])
    with Image.open(poster_path(recording.token, "jpg")) as poster:
        assert poster.size == (SIZE[1], SIZE[0])
    with av.open(io.BytesIO(played(recording))) as file:
        assert next(file.decode(video=0)).rotation == -90, "the player is told to turn it"


def test_a_film_whose_points_are_not_square_is_seen_as_wide_as_it_is_meant() -> None:
    recording = prepared(film("mp4", shape=Fraction(4, 3)), "film.mp4")
    assert (recording.width, recording.height) == (round(SIZE[0] * 4 / 3), SIZE[1])


def test_a_photograph_may_stand_before_a_film() -> None:
    recording = prepared(film("mp4"), "film.mp4")
    photograph = PhotographFactory(instrument=recording.instrument)
    assert change_recording(recording, {"poster": photograph}, by=None, at=NOON)
    assert recording.poster_address == photograph.address(800, "webp")


TAGGED: list[tuple[str, Make]] = [
    ("tune.wav", wav_with_tags),
    ("tune.flac", lambda: sound("flac", tags=TAGS)),
    ("tune.mp3", lambda: sound("mp3", tags=TAGS)),
    ("tune.m4a", lambda: sound("m4a", tags=TAGS)),
    ("tune.webm", lambda: sound("webm", tags=TAGS)),
    ("film.mp4", lambda: film("mp4", tags=TAGS)),
    ("film.mov", lambda: film("mov", tags=TAGS)),
    ("film.webm", lambda: film("webm", tags=TAGS)),
]
# What a container says of itself, never of who made the recording, where, or with what.
OF_THE_CONTAINER = {
    "major_brand",
    "minor_version",
    "compatible_brands",
    "language",
    "handler_name",
    "vendor_id",
    "duration",
    "encoder",
}


@pytest.mark.parametrize(("name", "make"), TAGGED)
def test_what_is_served_carries_no_name_no_place_and_no_device(name: str, make: Make) -> None:
    content = make()
    assert content.count(b"CNRY") >= 2, "the tags are in the file as received"
    recording = prepared(content, name)
    served = played(recording)
    assert b"CNRY" not in served
    assert {tag.lower() for tag in tags_in(served)} <= OF_THE_CONTAINER
    assert recording_path(recording.sha256, recording.suffix).read_bytes() == content, "kept as received"


def test_what_a_coder_writes_between_the_pictures_is_left_out() -> None:
    """x264 writes its options into the film as supplementary information, where a camera would write its place."""
    content = film("mp4", codings={"x264-params": "ref=1"})
    assert b"x264 - core" in content
    assert b"x264 - core" not in played(prepared(content, "film.mp4"))


def decoded(content: bytes) -> list[bytes]:
    """Every sample and every picture, as they are heard and seen."""
    with av.open(io.BytesIO(content)) as file:
        return [bytes(plane) for frame in file.decode() for plane in frame.planes]


SAME: list[tuple[str, Make]] = [
    ("tune.wav", wav_with_tags),
    ("tune.flac", lambda: sound("flac", tags=TAGS)),
    ("film.mp4", lambda: film("mp4", tags=TAGS)),
    ("film.webm", lambda: film("webm", tags=TAGS)),
]


@pytest.mark.parametrize(("name", "make"), SAME)
def test_nothing_is_coded_anew(name: str, make: Make) -> None:
    content = make()
    served = played(prepared(content, name))
    ours, theirs = decoded(served), decoded(content)
    assert len(ours) == len(theirs)
    assert ours == theirs


def test_what_a_film_needs_first_stands_first() -> None:
    content = film("mp4")
    assert content.index(b"moov") > content.index(b"mdat"), "as a camera writes it"
    served = played(prepared(content, "film.mp4"))
    assert served.index(b"moov") < served.index(b"mdat")


def test_prepared_twice_is_prepared_once() -> None:
    recording = prepared(wav())
    first = played_path(recording.token, "wav").stat().st_mtime_ns
    order(recording, at=NOON)
    drain()
    assert played_path(recording.token, "wav").stat().st_mtime_ns == first
    played_path(recording.token, "wav").unlink()
    order(recording, at=NOON)
    drain()
    assert played_path(recording.token, "wav").exists(), "a copy that was lost is made anew"


def test_taken_off_and_put_back_loses_nothing() -> None:
    recording = prepared(wav())
    change_recording(recording, {"title": "A waltz", "chapters": "WEBVTT\n"}, by=None, at=NOON)
    before = recording.instrument.revision
    assert take_off(recording, by=None, at=NOON)
    assert not take_off(recording, by=None, at=NOON)
    recording.refresh_from_db()
    recording.instrument.refresh_from_db()
    assert (recording.state, recording.title, recording.chapters) == (State.OFF, "A waltz", "WEBVTT\n")
    assert recording.instrument.revision > before
    assert len(kept_files()) == 1
    assert put_back(recording, by=None, at=NOON)
    assert not put_back(recording, by=None, at=NOON)
    recording.refresh_from_db()
    assert recording.state == State.READY
    verbs = list(Entry.objects.order_by("pk").values_list("verb", flat=True))
    assert verbs == ["recording received", "changed", "changed", "recording taken off", "recording put back"]


def test_one_that_was_taken_off_before_it_was_ready_is_prepared_when_it_comes_back() -> None:
    recording = receive(wav())
    take_off(recording, by=None, at=NOON)
    drain()
    recording.refresh_from_db()
    assert (recording.state, recording.seconds) == (State.OFF, None)
    put_back(recording, by=None, at=NOON)
    drain()
    recording.refresh_from_db()
    assert recording.state == State.READY


def test_the_order_is_the_dealers() -> None:
    instrument = InstrumentFactory()
    rows = [receive(wav(seconds=0.1 * place), f"{place}.wav", instrument) for place in (1, 2, 3)]
    move(rows[2], -1, by=None, at=NOON)
    move(rows[0], -1, by=None, at=NOON)
    assert [row.original_name for row in instrument.recordings.all()] == ["1.wav", "3.wav", "2.wav"]


def test_a_change_that_says_nothing_new_leaves_no_trace() -> None:
    recording = receive(wav())
    before = Entry.objects.count()
    assert not change_recording(recording, {"title": ""}, by=None, at=NOON)
    assert Entry.objects.count() == before
