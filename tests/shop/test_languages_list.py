"""The German list as it is committed: whole, translated, and packed."""

from babel.messages.catalog import Message

from shop.languages.gathering import gather
from shop.languages.wordlist import (
    as_mo,
    brought_up,
    is_translated,
    key_of,
    mo_path,
    po_path,
    read,
    texts_of,
    unlike_places,
)

GERMAN = read(po_path("de"), "de")
MESSAGES = [message for message in GERMAN if message.id]


def test_the_list_holds_exactly_what_the_public_side_says() -> None:
    assert {key_of(message) for message in MESSAGES} == set(gather()), "run manage.py words"


def test_every_message_is_translated() -> None:
    assert [key_of(message) for message in MESSAGES if not is_translated(message) or message.fuzzy] == []


def test_places_agree() -> None:
    unlike = {key_of(message): unlike_places(message) for message in MESSAGES}
    assert {key: places for key, places in unlike.items() if places} == {}


def test_one_and_many_are_alike_wherever_they_are_said() -> None:
    manys = {key: {said.many for said in places} for key, places in gather().items()}
    assert {key: many for key, many in manys.items() if len(many - {""}) > 1} == {}


def test_what_the_shop_reads_is_this_list() -> None:
    assert mo_path("de").read_bytes() == as_mo(brought_up(gather(), "de", GERMAN)), "run manage.py words"


def test_a_message_begins_and_ends_as_its_english() -> None:
    """A space or a full stop lost at an edge shows where two messages meet."""
    assert [key_of(message) for message in MESSAGES if is_translated(message) and not _alike(message)] == []


def _alike(message: Message) -> bool:
    ids = texts_of(message.id)
    strings = texts_of(message.string)
    pairs = list(zip(ids, strings, strict=True))
    edges = all(
        (one[:1].isspace(), one[-1:].isspace()) == (said[:1].isspace(), said[-1:].isspace())
        for one, said in pairs
    )
    return edges and all(said.endswith(".") for one, said in pairs if one.endswith("."))
