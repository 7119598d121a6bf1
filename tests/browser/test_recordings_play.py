"""Sound and film play in a real browser, in parts; nothing is fetched before; chapters lead to their place."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from playwright.sync_api import BrowserContext, Page, Request, Response, expect

from catalog.models import Instrument, Recording
from catalog.recordings.actions import change_recording, receive_recording
from shop.jobs.worker import drain
from tests.factories import NOON, InstrumentFactory, ShopFactory
from tests.support.sounds import film, sound, wav

NewContext = Callable[..., BrowserContext]
CHAPTERS = "WEBVTT\n\n00:00.000 --> 00:20.000\nOpen strings\n\n00:20.000 --> 00:30.000\nThe waltz\n"


@pytest.fixture
def piece(live_server: Any, settings: Any, tmp_path: Path) -> Instrument:
    settings.RECORDINGS_DIR, settings.PLAYED_DIR = tmp_path / "recordings", tmp_path / "played"
    ShopFactory()
    return InstrumentFactory(listed=True)


def add(piece: Instrument, content: bytes, name: str, **said: str) -> Recording:
    row = receive_recording(piece, SimpleUploadedFile(name, content), by=None, at=NOON)
    drain()
    row.refresh_from_db()
    change_recording(row, said, by=None, at=NOON)
    return row


def opened(
    live_server: Any, new_context: NewContext, piece: Instrument, **more: Any
) -> tuple[Page, list[Response]]:
    """The listing, and every answer for a recording from then on."""
    page = new_context(**more).new_page()
    answers: list[Response] = []
    page.on("response", lambda answer: answers.append(answer) if "/recordings/" in answer.url else None)
    page.goto(live_server.url + piece.get_absolute_url())
    return page, answers


def wait_for(page: Page, at: float) -> None:
    """Until the player has come to that second (the page's own policy forbids the waiting that Playwright has)."""
    page.locator("audio, video").evaluate(
        """(player, at) => new Promise((done) => {
          const look = () => { if (player.currentTime >= at) done(); };
          player.addEventListener("timeupdate", look);
          look();
        })""",
        at,
    )


# Chromium of Debian plays all of these; each answer to a player is a part (206).
PLAYED = [
    ("tune.wav", lambda: wav(seconds=3)),
    ("tune.flac", lambda: sound("flac", seconds=3)),
    ("tune.mp3", lambda: sound("mp3", seconds=3)),
    ("tune.m4a", lambda: sound("m4a", seconds=3)),
    ("tune.webm", lambda: sound("webm", seconds=3)),
    ("film.mp4", lambda: film("mp4", seconds=3)),
    ("film.webm", lambda: film("webm", seconds=3)),
]


@pytest.mark.parametrize(("name", "make"), PLAYED)
def test_it_plays_in_parts(
    live_server: Any, new_context: NewContext, piece: Instrument, name: str, make: Any
) -> None:
    row = add(piece, make(), name)
    page, answers = opened(live_server, new_context, piece)
    player = page.locator("audio, video")
    expect(player).to_have_count(1)
    assert [answer.url for answer in answers if row.address in answer.url] == [], (
        "nothing before it is wanted"
    )
    player.evaluate("player => { player.muted = true; return player.play(); }")
    wait_for(page, 0.2)
    asked = [answer for answer in answers if answer.url.endswith(row.address)]
    assert asked
    assert all("range" in answer.request.headers for answer in asked)
    assert {answer.status for answer in asked} == {206}
    assert player.evaluate("player => Math.abs(player.duration - 3) < 0.05")


def test_a_chapter_plays_from_its_place(live_server: Any, new_context: NewContext, piece: Instrument) -> None:
    add(piece, wav(seconds=30), "tune.wav", title="All strings", chapters=CHAPTERS)
    page, _ = opened(live_server, new_context, piece)
    page.locator("audio").evaluate("player => { player.muted = true; }")
    page.get_by_role("link", name="0:20 The waltz").click()
    wait_for(page, 20)
    assert page.url.endswith(piece.get_absolute_url()), "the page stays"
    expect(page.locator("audio")).to_have_js_property("paused", False)


def test_without_scripts_a_chapter_is_an_address(
    live_server: Any, new_context: NewContext, piece: Instrument
) -> None:
    row = add(piece, wav(seconds=30), "tune.wav", title="All strings", chapters=CHAPTERS)
    page, _ = opened(live_server, new_context, piece, java_script_enabled=False)
    link = page.get_by_role("link", name="0:20 The waltz")
    expect(link).to_have_attribute("href", f"{row.address}#t=20")


def test_captions_are_shown_over_a_film(live_server: Any, new_context: NewContext, piece: Instrument) -> None:
    captions = "WEBVTT\n\n00:00.000 --> 00:02.900\nThis is how it sounds.\n"
    add(piece, film("webm", seconds=3), "film.webm", captions=captions)
    page, _ = opened(live_server, new_context, piece)
    page.locator("video").evaluate(
        "player => { player.textTracks[0].mode = 'showing'; player.muted = true; player.play(); }"
    )
    wait_for(page, 0.5)
    words = page.locator("video").evaluate("player => player.textTracks[0].activeCues[0].text")
    assert words == "This is how it sounds."


def test_a_film_elsewhere_is_asked_for_by_a_press_alone(
    live_server: Any, new_context: NewContext, piece: Instrument
) -> None:
    Instrument.objects.filter(pk=piece.pk).update(hear_at=f"{live_server.url}/elsewhere/1")
    asked: list[Request] = []
    page = new_context().new_page()
    page.on("request", lambda request: asked.append(request) if "/elsewhere/" in request.url else None)
    page.goto(live_server.url + piece.get_absolute_url(), wait_until="networkidle")
    assert asked == []
    page.get_by_role("link", name="A film or a recording of this piece at").click()
    assert len(asked) == 1
