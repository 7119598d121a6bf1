"""Every public page below /de/ speaks German, but for what the dealer typed."""

import re

import pytest
from django.test import Client

from shop.languages.wordlist import key_of, po_path, read, texts_of
from tests.factories import ShopFactory
from tests.support.german import Spoken, pages
from tests.world import World, build_world

LONG = 12  # letters; a shorter message may be a word of both languages, or stand within a name


@pytest.fixture
def world(db: None) -> World:
    ShopFactory()
    return build_world()


def english() -> list[tuple[str, re.Pattern[str]]]:
    """Each message that is long enough and reads otherwise in German, as it looks with its places filled."""
    found = []
    for message in read(po_path("de"), "de"):
        if not message.id:
            continue
        ids = texts_of(message.id)
        strings = texts_of(message.string)
        for one in ids:
            plain = re.sub(r"%\(\w+\)[sd]|<[^>]*>|\W", "", one)
            if len(plain) > LONG and one not in strings:
                found.append((key_of(message)[0], _looks(one)))
    return found


def _looks(message: str) -> re.Pattern[str]:
    """Places may hold anything; marks within are gone in the text, and ends stand at the edge of a word."""
    pieces = re.split(r"(%\(\w+\)[sd]|<[^>]*>)", message.replace("%%", "%"))
    looks = "".join(_looks_of(piece, between=bool(index % 2)) for index, piece in enumerate(pieces))
    return re.compile(rf"(?<!\w){looks}(?!\w)")


def _looks_of(piece: str, *, between: bool) -> str:
    if between:
        return "" if piece.startswith("<") else r".{1,200}?"
    return re.escape(re.sub(r"\s+", " ", piece))


def test_no_english_of_ours_stands_on_a_german_page(client: Client, world: World) -> None:
    messages, visited = english(), []
    found: dict[str, tuple[str, str]] = {}
    for path, page in pages(client, world):
        visited.append(path)
        assert '<html lang="de">' in page, path
        reader = Spoken("de")
        reader.feed(page)
        for text in {" ".join(text.split()) for text in [*reader.texts, *reader.attributes] if text.strip()}:
            for message, looks in messages:
                if looks.search(text):
                    found.setdefault(message, (path, text[:160]))
    assert len(visited) > 20
    assert found == {}


def test_the_reader_tells_the_languages_apart() -> None:
    reader = Spoken("de")
    reader.feed(
        '<html lang="de"><p title="Hals">Neu<br><i lang="en" title="Neck">Old <b>Story</b></i> und</p>'
    )
    assert (reader.texts, reader.attributes) == (["Neu", " und"], ["Hals"])


@pytest.mark.parametrize(
    ("message", "text", "stands"),
    [
        ("The %(part)s is missing.", "Oh: The neck is missing.", True),
        ("The %(part)s is missing.", "Der Hals fehlt.", False),
        ("Sold archive", "Sold archives", False),
    ],
)
def test_a_message_is_seen_with_its_places_filled(message: str, text: str, stands: bool) -> None:
    assert bool(_looks(message).search(text)) is stands
