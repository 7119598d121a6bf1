"""Sound and film as they are served: whole and in parts, to whom, and how long each answer may be kept."""

import threading
from pathlib import Path
from typing import Any
from urllib.request import Request, urlopen

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from catalog.models import Instrument, Recording
from catalog.recordings import views
from catalog.recordings.actions import change_recording, receive_recording, take_off
from catalog.recordings.media import played_path
from shop.jobs.worker import drain
from shop.models import Job
from tests.factories import NOON, InstrumentFactory
from tests.support.sounds import film, sound, wav

VTT = "WEBVTT\n\n00:00.000 --> 00:00.400\nHello\n"


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    settings.RECORDINGS_DIR, settings.PLAYED_DIR = tmp_path / "recordings", tmp_path / "played"


def recording_of(content: bytes, name: str = "tune.wav", **of: Any) -> Recording:
    upload = SimpleUploadedFile(name, content)
    row = receive_recording(InstrumentFactory(**of or {"listed": True}), upload, by=None, at=NOON)
    drain()
    row.refresh_from_db()
    return row


@pytest.fixture
def tune(db: None) -> Recording:
    return recording_of(wav())


def served(recording: Recording) -> bytes:
    return played_path(recording.token, recording.played_suffix).read_bytes()


def body(answer: Any) -> bytes:
    return b"".join(answer.streaming_content) if answer.streaming else answer.content


def test_the_whole(client: Client, tune: Recording) -> None:
    answer = client.get(tune.address)
    whole = served(tune)
    assert answer.status_code == 200
    assert body(answer) == whole
    assert answer["Content-Length"] == str(len(whole))
    assert answer["Content-Type"] == "audio/wav"
    assert answer["Accept-Ranges"] == "bytes"
    assert "max-age=31536000" in answer["Cache-Control"]
    assert "Cookie" not in answer.get("Vary", "")
    assert answer["ETag"].startswith('"')


# RFC 9110, sections 14.2 and 15.3.7: header, first byte, byte behind the last.
PARTS = [
    ("bytes=0-0", 0, 1),
    ("bytes=0-99", 0, 100),
    ("bytes=100-", 100, None),
    ("bytes=-100", -100, None),
    ("bytes=44-1000000", 44, None),
    ("bytes=-1000000", 0, None),
]


@pytest.mark.parametrize(("header", "first", "behind"), PARTS)
def test_section_15_3_7_a_part(
    client: Client, tune: Recording, header: str, first: int, behind: int | None
) -> None:
    whole = served(tune)
    begins = first if first >= 0 else len(whole) + first
    wanted = whole[first:behind]
    answer = client.get(tune.address, headers={"Range": header})
    assert answer.status_code == 206
    assert body(answer) == wanted
    assert answer["Content-Length"] == str(len(wanted))
    assert answer["Content-Range"] == f"bytes {begins}-{begins + len(wanted) - 1}/{len(whole)}"
    assert answer["Content-Type"] == "audio/wav"
    assert "ETag" in answer.headers
    assert "Cache-Control" in answer.headers


@pytest.mark.parametrize("header", ["bytes=9-1", "bytes=a-b", "seconds=1-2", "bytes=0-1,5-6"])
def test_section_14_2_a_header_that_is_not_understood_gets_the_whole(
    client: Client, tune: Recording, header: str
) -> None:
    answer = client.get(tune.address, headers={"Range": header})
    assert answer.status_code == 200
    assert body(answer) == served(tune)
    assert "Content-Range" not in answer.headers


@pytest.mark.parametrize("header", ["bytes=1000000-", "bytes=-0"])
def test_section_15_5_17_what_lies_behind_the_end(client: Client, tune: Recording, header: str) -> None:
    answer = client.get(tune.address, headers={"Range": header})
    assert answer.status_code == 416
    assert answer["Content-Range"] == f"bytes */{len(served(tune))}"
    assert "no-store" in answer["Cache-Control"]
    assert answer.content == b""


def test_section_13_1_5_if_range_and_13_1_2_if_none_match(client: Client, tune: Recording) -> None:
    first = client.get(tune.address)
    body(first)
    tag, date = first["ETag"], first["Last-Modified"]
    part = {"Range": "bytes=0-9"}
    codes = {}
    for name, value in [("tag", tag), ("date", date), ("other", '"other"'), ("weak", f"W/{tag}")]:
        answer = client.get(tune.address, headers={**part, "If-Range": value})
        body(answer)
        codes[name] = answer.status_code
    assert codes == {"tag": 206, "date": 206, "other": 200, "weak": 200}
    again = client.get(tune.address, headers={**part, "If-None-Match": tag})
    assert (again.status_code, again["ETag"]) == (304, tag), "a condition comes before a part"
    assert client.get(tune.address, headers={"If-Modified-Since": date}).status_code == 304
    assert client.get(tune.address, headers={"If-Match": '"other"'}).status_code == 412


def test_section_9_3_2_head_tells_of_the_whole_and_sends_nothing(client: Client, tune: Recording) -> None:
    answer = client.head(tune.address, headers={"Range": "bytes=0-9"})
    assert answer.status_code == 200, "section 14.2: a part is defined for GET alone"
    assert body(answer) == b""
    assert answer["Content-Length"] == str(len(served(tune)))
    assert answer["Accept-Ranges"] == "bytes"


def test_other_methods_are_refused(client: Client, tune: Recording) -> None:
    assert client.post(tune.address).status_code == 405


def test_it_is_read_piece_by_piece(client: Client, tune: Recording, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "PIECE", 1000)
    answer: Any = client.get(tune.address, headers={"Range": "bytes=10-2509"})
    pieces = list(answer.streaming_content)
    assert [len(piece) for piece in pieces] == [1000, 1000, 500]
    assert b"".join(pieces) == served(tune)[10:2510]


def test_an_answer_that_is_broken_off_closes_the_file(tune: Recording) -> None:
    file = played_path(tune.token, "wav").open("rb")
    pieces = views.Pieces(file, views.Part(0, 99))
    pieces.close()
    assert file.closed


TYPES = [
    ("tune.mp3", lambda: sound("mp3"), "audio/mpeg"),
    ("tune.flac", lambda: sound("flac"), "audio/flac"),
    ("tune.m4a", lambda: sound("m4a"), "audio/mp4"),
    ("tune.webm", lambda: sound("webm"), "audio/webm"),
    ("film.webm", lambda: film("webm"), "video/webm"),
    ("film.mov", lambda: film("mov"), "video/mp4"),
]


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "make", "kind"), TYPES)
def test_the_media_type(client: Client, name: str, make: Any, kind: str) -> None:
    answer = client.get(recording_of(make(), name).address)
    body(answer)
    assert answer["Content-Type"] == kind
    assert answer["X-Content-Type-Options"] == "nosniff"


def addresses(recording: Recording) -> list[str]:
    base = f"/recordings/{recording.token}"
    return [recording.address, f"{base}/captions.vtt", f"{base}/chapters.vtt", f"{base}/poster.jpg"]


def codes(client: Client, recording: Recording) -> list[int]:
    found = []
    for address in addresses(recording):
        answer = client.get(address)
        body(answer)
        found.append(answer.status_code)
    return found


def test_nobody_but_the_desk_plays_what_is_not_public(client: Client, helpers_desk: Client, db: None) -> None:
    recording = recording_of(film("mp4"), "film.mp4")
    change_recording(recording, {"captions": VTT, "chapters": VTT}, by=None, at=NOON)
    assert codes(client, recording) == [200] * 4
    for state in (Instrument.State.DRAFT, Instrument.State.WITHDRAWN):
        Instrument.objects.filter(pk=recording.instrument_id).update(state=state)
        assert codes(client, recording) == [404] * 4
        assert codes(helpers_desk, recording) == [200] * 4
        answer = helpers_desk.get(recording.address)
        body(answer)
        assert answer["Cache-Control"] == "private, no-store"
    Instrument.objects.filter(pk=recording.instrument_id).update(state=Instrument.State.LISTED)
    take_off(recording, by=None, at=NOON)
    assert codes(client, recording) == [404] * 4
    assert codes(helpers_desk, recording) == [200] * 4


def test_one_that_is_not_ready_is_not_there(client: Client, helpers_desk: Client, db: None) -> None:
    upload = SimpleUploadedFile("tune.wav", wav())
    recording = receive_recording(InstrumentFactory(listed=True), upload, by=None, at=NOON)
    assert client.get(recording.address).status_code == 404
    assert helpers_desk.get(recording.address).status_code == 404


def test_there_is_one_address_only(client: Client, tune: Recording) -> None:
    assert client.get(tune.address.replace(".wav", ".mp3")).status_code == 404
    assert client.get(f"/recordings/{'0' * 32}.wav").status_code == 404
    assert client.get(f"/recordings/{tune.token}/poster.webp").status_code == 404, "a sound has none"
    assert client.get(f"/recordings/{tune.token}/captions.vtt").status_code == 404


def test_captions_and_chapters_are_webvtt(client: Client, tune: Recording) -> None:
    change_recording(tune, {"captions": VTT, "chapters": VTT.replace("Hello", "The tune")}, by=None, at=NOON)
    for what, words in (("captions", "Hello"), ("chapters", "The tune")):
        answer = client.get(f"/recordings/{tune.token}/{what}.vtt")
        assert answer["Content-Type"] == "text/vtt; charset=utf-8"
        assert words in answer.content.decode()
        assert answer["Cache-Control"] == "public, max-age=60"


def test_a_copy_that_was_not_restored_is_ordered_once_and_made_anew(client: Client, tune: Recording) -> None:
    whole = served(tune)
    played_path(tune.token, "wav").unlink()
    for _ in range(3):
        assert client.get(tune.address).status_code == 404
    assert Job.objects.filter(state=Job.State.WAITING).count() == 1
    drain()
    assert body(client.get(tune.address)) == whole


def test_over_a_real_server_a_part_comes_as_a_part(live_server: Any, settings: Any) -> None:
    recording = recording_of(wav(seconds=2))
    whole = served(recording)
    found: dict[str, tuple[int, bytes]] = {}

    def ask() -> None:
        request = Request(live_server.url + recording.address, headers={"Range": "bytes=1000-1999"})  # noqa: S310
        with urlopen(request, timeout=10) as answer:  # noqa: S310
            found["part"] = (answer.status, answer.read())

    asking = threading.Thread(target=ask)
    asking.start()
    asking.join()
    assert found["part"] == (206, whole[1000:2000])
