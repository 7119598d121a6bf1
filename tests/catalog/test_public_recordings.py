"""Sound and film on a listing: what a buyer sees, hears and reads, also without scripts."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from catalog.models import Instrument, Recording
from catalog.recordings.actions import change_recording, receive_recording, take_off
from shop.jobs.worker import drain
from tests.factories import NOON, InstrumentFactory, PhotographFactory, ShopFactory
from tests.support.sounds import film, wav

pytestmark = pytest.mark.django_db

SAID = "WEBVTT\n\n00:00.000 --> 00:01.000\nIt was <i>made</i> &amp; played\nin one town.\n"
CHAPTERS = "WEBVTT\n\n00:00.000 --> 00:01.500\nOpen strings\n\n00:01.500 --> 00:03.000\nA &lt;waltz&gt;\n"
MODULE = Path(__file__).resolve().parents[2] / "static" / "js" / "chapters.js"


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    ShopFactory()
    settings.RECORDINGS_DIR, settings.PLAYED_DIR = tmp_path / "recordings", tmp_path / "played"


def add(piece: Instrument, content: bytes, name: str, **said: str) -> Recording:
    row = receive_recording(piece, SimpleUploadedFile(name, content), by=None, at=NOON)
    drain()
    row.refresh_from_db()
    change_recording(row, said, by=None, at=NOON)
    return row


def page_of(client: Client, piece: Instrument) -> str:
    return client.get(piece.get_absolute_url()).content.decode()


def test_a_sound_has_a_player_a_drawing_chapters_and_its_words(client: Client) -> None:
    piece = InstrumentFactory(listed=True)
    row = add(piece, wav(seconds=3), "tune.wav", title="All strings open", captions=SAID, chapters=CHAPTERS)
    page = page_of(client, piece)
    assert 'preload="none"' in page
    assert f'<source src="/recordings/{row.token}.wav" type="audio/wav">' in page
    assert 'aria-label="All strings open, 3 s"' in page
    assert 'role="img" aria-label="How loud All strings open is over its 3 s"' in page
    assert len(re.findall(r"M\d+ \d+v\d+", page)) == 120
    assert f'<track kind="chapters" src="/recordings/{row.token}/chapters.vtt">' in page
    assert (
        f'href="/recordings/{row.token}.wav#t=1.5" data-at="1.5"><span class="figures">0:01</span> A &lt;waltz&gt;'
        in page
    )
    assert "<p>It was made &amp; played in one town.</p>" in page, (
        "an audio player shows no captions: they are read"
    )
    assert "tune.wav" not in page


def test_a_film_has_a_poster_of_its_own_size_and_its_captions(client: Client) -> None:
    piece = InstrumentFactory(listed=True)
    row = add(piece, film("mp4", seconds=2), "film.mp4", title="Seen close", captions=SAID)
    page = page_of(client, piece)
    assert f'poster="/recordings/{row.token}/poster.webp" width="64" height="36"' in page
    assert f'<source src="/recordings/{row.token}.mp4" type="video/mp4">' in page
    assert f'<track kind="captions" src="/recordings/{row.token}/captions.vtt" label="Captions">' in page
    assert "Hear and see it" in page
    assert 'class="wave"' not in page
    assert "chapters.js" not in page, "nothing is loaded that has nothing to do"


def test_only_what_is_ready_is_shown_in_the_dealers_order(client: Client) -> None:
    piece = InstrumentFactory(listed=True)
    first = add(piece, wav(), "1.wav", title="First")
    add(piece, wav(seconds=0.3), "2.wav", title="Second")
    receive_recording(piece, SimpleUploadedFile("3.wav", wav(seconds=0.2)), by=None, at=NOON)
    page = page_of(client, piece)
    assert page.count("<audio") == 2
    assert page.index("First") < page.index("Second")
    take_off(first, by=None, at=NOON)
    assert "First" not in page_of(client, piece)


def test_a_silent_or_untitled_one_says_what_it_is(client: Client) -> None:
    piece = InstrumentFactory(listed=True)
    add(piece, wav(loudness=(0,)), "secret name.wav")
    page = page_of(client, piece)
    assert "<h3>Sound <span" in page
    assert 'class="wave"' not in page
    assert "secret name" not in page


def test_a_film_elsewhere_is_a_link_that_names_its_host_and_loads_nothing(client: Client) -> None:
    piece = InstrumentFactory(listed=True, hear_at="https://www.films.example/watch?v=1")
    page = page_of(client, piece)
    assert (
        "A film or a recording of this piece at films.example</a>. It is not loaded from there until you press."
        in page
    )
    links = re.findall(r"<[^>]*films\.example[^>]*>", page)
    assert len(links) == 1
    assert links[0].startswith("<a href=")
    assert "<iframe" not in page


def test_a_piece_that_cannot_be_heard_has_no_such_part(client: Client) -> None:
    page = page_of(client, InstrumentFactory(listed=True))
    assert 'id="recordings"' not in page
    assert "recordings.css" not in page


def test_a_listing_costs_the_same_for_one_recording_and_for_many(client: Client) -> None:
    piece = InstrumentFactory(listed=True)

    def cost() -> int:
        Recording.objects.filter(what="film").update(poster=PhotographFactory(instrument=piece))
        with CaptureQueriesContext(connection) as counted:
            page_of(client, piece)
        return len(counted)

    add(piece, film("mp4"), "1.mp4")
    page_of(client, piece)
    one = cost()
    for number in (2, 3, 4):
        add(piece, film("mp4", seconds=number), f"{number}.mp4")
    assert cost() == one


def test_the_policy_lets_the_shops_own_recordings_play(client: Client) -> None:
    answer = client.get(InstrumentFactory(listed=True).get_absolute_url())
    assert "media-src 'self'" in answer["Content-Security-Policy"]


def test_the_module_is_small() -> None:
    assert MODULE.stat().st_size <= 1536
