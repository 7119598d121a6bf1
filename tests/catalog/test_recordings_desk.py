"""Sound and film at the desk: sent in, told, ordered, taken off; by the owner and by a helper alike."""

from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from catalog.models import Instrument, Recording, SpokenLine
from catalog.recordings.actions import receive_recording
from catalog.recordings.vtt import read, read_chapters
from catalog.speaking.rules import LABELS
from shop.jobs.worker import drain
from shop.models import Entry
from tests.factories import NOON, InstrumentFactory, PhotographFactory, ShopFactory
from tests.support.sounds import film, wav

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    ShopFactory()
    settings.RECORDINGS_DIR, settings.PLAYED_DIR = tmp_path / "recordings", tmp_path / "played"


@pytest.fixture
def piece() -> Instrument:
    return InstrumentFactory(listed=True)


def place(piece: Instrument, *more: str) -> str:
    return "/".join([f"/desk/stock/{piece.stock_id}/recordings", *more, ""])


def received(piece: Instrument, content: bytes, name: str = "tune.wav", *, ready: bool = True) -> Recording:
    row = receive_recording(piece, SimpleUploadedFile(name, content), by=None, at=NOON)
    if ready:
        drain()
        row.refresh_from_db()
    return row


def files(*sent: tuple[str, bytes]) -> dict[str, Any]:
    return {"files": [SimpleUploadedFile(name, content) for name, content in sent]}


def test_many_are_sent_at_once_and_each_is_answered_by_its_name(
    helpers_desk: Client, piece: Instrument
) -> None:
    sent = files(("a.wav", wav()), ("notes.txt", b"words"), ("b.wav", wav(seconds=0.3)))
    page = helpers_desk.post(place(piece, "send"), sent, follow=True).content.decode()
    assert "a.wav is kept." in page
    assert "b.wav is kept." in page
    assert "notes.txt is no sound or film that can be read. Send WAV, FLAC, MP3, MP4 or WebM." in page
    assert [row.original_name for row in piece.recordings.all()] == ["a.wav", "b.wav"]
    assert page.count("Being prepared") == 2
    assert "No file came with that" in helpers_desk.post(place(piece, "send"), follow=True).content.decode()


def test_the_module_that_sends_one_by_one_is_answered_with_a_row(
    helpers_desk: Client, piece: Instrument
) -> None:
    answer = helpers_desk.post(
        place(piece, "send"), files(("a.wav", wav())), headers={"Accept": "application/json"}
    )
    (told,) = answer.json()["files"]
    assert told["kept"] is True
    assert f'id="recording-{piece.recordings.get().token}"' in told["print"]


def test_a_row_asks_again_until_it_is_ready(helpers_desk: Client, piece: Instrument) -> None:
    row = received(piece, wav(), ready=False)
    waiting = helpers_desk.get(place(piece, row.token, "state")).content.decode()
    assert 'hx-trigger="every 2s"' in waiting
    drain()
    ready = helpers_desk.get(place(piece, row.token, "state")).content.decode()
    assert "hx-trigger" not in ready
    assert f'<audio controls preload="none" aria-label="tune.wav" src="/recordings/{row.token}.wav">' in ready
    assert "Sound, 1 s" in ready


def test_one_that_cannot_be_played_says_so(helpers_desk: Client, piece: Instrument) -> None:
    row = received(piece, film("webm", seconds=4)[:20_000], "half.webm")
    assert row.state == Recording.State.REFUSED
    page = helpers_desk.get(place(piece)).content.decode()
    assert "half.webm is cut short or damaged and cannot be played." in page


def said(piece: Instrument, **more: str) -> dict[str, str]:
    piece.refresh_from_db()
    return {"revision": str(piece.revision), "title": "", "captions": "", "chapters": "", **more}


CAPTIONS = "WEBVTT\r\n\r\n00:00.000 --> 00:04.000\r\nThis is how it sounds."


def test_title_captions_and_chapters_are_kept(helpers_desk: Client, piece: Instrument) -> None:
    row = received(piece, wav(seconds=10))
    typed = said(piece, title="A waltz", captions=CAPTIONS, chapters="0:00 Open strings\r\n0:04 The waltz")
    answer = helpers_desk.post(place(piece, row.token), typed)
    assert answer.status_code == 302
    row.refresh_from_db()
    assert row.title == "A waltz"
    assert row.captions == "WEBVTT\n\n00:00.000 --> 00:04.000\nThis is how it sounds.\n"
    assert [(cue.begins, cue.ends, cue.text) for cue in read(row.chapters)] == [
        (0, 4000, "Open strings"),
        (4000, 10_000, "The waltz"),
    ]
    page = helpers_desk.get(place(piece, row.token)).content.decode()
    assert "0:00 Open strings\n0:04 The waltz</textarea>" in page, "as it was typed"
    told = set(Entry.objects.filter(verb="changed").values_list("field", flat=True))
    assert told == {"title of a recording", "captions of a recording", "chapters of a recording"}


def test_what_cannot_be_read_stays_as_typed_and_says_its_line(
    helpers_desk: Client, piece: Instrument
) -> None:
    row = received(piece, wav(seconds=10))
    typed = said(
        piece, title="A waltz", captions=CAPTIONS.replace("00:04.000", "0:04,000"), chapters="The waltz"
    )
    page = helpers_desk.post(place(piece, row.token), typed).content.decode()
    assert "Line 3: “00:00.000 --&gt; 0:04,000” is no time." in page
    assert "Line 1: write the time and then the title, such as 0:14 Condition." in page
    assert "The waltz</textarea>" in page
    assert 'value="A waltz"' in page
    row.refresh_from_db()
    assert (row.title, row.captions, row.chapters) == ("", "", "")


def test_a_record_that_changed_meanwhile_is_not_overwritten(helpers_desk: Client, piece: Instrument) -> None:
    row = received(piece, wav())
    typed = {**said(piece, title="A waltz"), "revision": "0"}
    page = helpers_desk.post(place(piece, row.token), typed).content.decode()
    assert "This record was changed after you opened the page." in page
    assert 'value="A waltz"' in page
    row.refresh_from_db()
    assert row.title == ""


def test_chapters_are_drawn_from_the_speakers_sheet_and_corrected(
    helpers_desk: Client, piece: Instrument
) -> None:
    row = received(piece, wav(seconds=30))
    SpokenLine.objects.create(instrument=piece, key="story", position=1, left_out=True)
    typed = said(piece, title="Not saved yet") | {"from-sheet": "yes"}
    page = helpers_desk.post(place(piece, row.token), typed)
    row.refresh_from_db()
    assert (row.title, row.chapters) == ("", ""), "drawn, and not saved"
    html = page.content.decode()
    assert 'value="Not saved yet"' in html
    drawn = page.context["form"]["chapters"].value()
    cues = read_chapters(drawn, row.milliseconds)
    titles = [cue.text for cue in cues]
    assert titles[0] == LABELS["what"]
    assert {LABELS["condition"], LABELS["price"]} <= set(titles)
    assert LABELS["story"] not in titles, "what is left out is left out"
    assert LABELS["tone"] not in titles, "a line without words is no chapter"
    assert [cue.begins for cue in cues] == [30_000 * place // len(cues) for place in range(len(cues))]
    answer = helpers_desk.post(place(piece, row.token), said(piece, chapters=drawn))
    assert answer.status_code == 302
    row.refresh_from_db()
    assert read(row.chapters) == cues


def test_a_film_has_a_choice_of_pictures_and_a_sound_has_none(
    helpers_desk: Client, piece: Instrument
) -> None:
    tune, seen = received(piece, wav()), received(piece, film("mp4"), "film.mp4")
    photograph = PhotographFactory(instrument=piece, caption="The head")
    PhotographFactory(caption="Of another piece")
    page = helpers_desk.get(place(piece, seen.token)).content.decode()
    assert "A frame of the film itself" in page
    assert "The head" in page
    assert "Of another piece" not in page
    assert "A frame of the film itself" not in helpers_desk.get(place(piece, tune.token)).content.decode()
    helpers_desk.post(place(piece, seen.token), said(piece, poster=str(photograph.pk)))
    seen.refresh_from_db()
    assert seen.poster == photograph


def test_words_in_time_wait_until_it_is_ready(helpers_desk: Client, piece: Instrument) -> None:
    row = received(piece, wav(), ready=False)
    page = helpers_desk.get(place(piece, row.token)).content.decode()
    assert "Once the recording is ready." in page
    assert "Draw chapters from the speaker’s sheet" not in page
    helpers_desk.post(place(piece, row.token), said(piece, title="A waltz", chapters="0:00 One"))
    row.refresh_from_db()
    assert (row.title, row.chapters) == ("A waltz", "")


def test_order_off_and_back(helpers_desk: Client, piece: Instrument) -> None:
    first, second = received(piece, wav(), "1.wav"), received(piece, wav(seconds=0.3), "2.wav")
    answer = helpers_desk.post(place(piece, second.token, "move"), {"to": "earlier"})
    assert answer["Location"].endswith(f"/recordings/#recording-{second.token}")
    assert list(piece.recordings.all()) == [second, first]
    page = helpers_desk.post(place(piece, first.token, "off"), follow=True).content.decode()
    assert "The recording is taken off. Its file and its words are kept; it can be put back." in page
    assert "Put back" in page
    page = helpers_desk.post(place(piece, first.token, "back"), follow=True).content.decode()
    assert "Put back" not in page


def test_the_file_as_received_is_handed_out_at_the_desk(helpers_desk: Client, piece: Instrument) -> None:
    content = wav()
    row = received(piece, content, "the waltz.wav")
    answer: Any = helpers_desk.get(place(piece, row.token, "file"))
    assert b"".join(answer.streaming_content) == content
    assert answer["Content-Disposition"] == 'attachment; filename="the waltz.wav"'
    assert "no-store" in answer["Cache-Control"]


def test_the_recording_of_another_record_is_not_here(helpers_desk: Client, piece: Instrument) -> None:
    row = received(InstrumentFactory(), wav())
    for page in ([], ["state"], ["file"]):
        assert helpers_desk.get(place(piece, row.token, *page)).status_code == 404


def test_the_list_costs_the_same_for_one_and_for_many(helpers_desk: Client, piece: Instrument) -> None:
    def cost() -> int:
        Recording.objects.update(poster=PhotographFactory(instrument=piece))
        with CaptureQueriesContext(connection) as counted:
            helpers_desk.get(place(piece))
        return len(counted)

    received(piece, film("mp4"), "1.mp4")
    helpers_desk.get(place(piece))
    one = cost()
    for number in (2, 3, 4):
        received(piece, film("mp4", seconds=number), f"{number}.mp4")
    assert cost() == one
