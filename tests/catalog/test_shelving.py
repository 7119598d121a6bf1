"""The shelf is what a fresh reading of the records would make it, after every deed that changes what a page shows."""

from collections.abc import Callable
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.db import transaction

from catalog.instruments.actions import change_record, change_rows, mark_sold
from catalog.instruments.maker_actions import change_lists, describe_maker
from catalog.instruments.measuring_actions import Measured, measure
from catalog.instruments.naming_actions import identify
from catalog.instruments.renaming_actions import rename_maker, rename_model
from catalog.instruments.sheet_actions import change_sheet
from catalog.models import (
    Edition,
    FoundNumber,
    Instrument,
    KnownWord,
    Part,
    Recording,
    Said,
    Shelved,
)
from catalog.originality.actions import Found, examine
from catalog.papers.actions import change_paper
from catalog.pictures.actions import describe, remove
from catalog.public.queries import pages
from catalog.publishing.actions import withdraw
from catalog.recordings.actions import change_recording, take_off
from catalog.search.page_words import page_words
from catalog.search.queries import found
from catalog.search.shelf import the_shelf
from catalog.search.shelving import fill, refill
from shop.models import User
from tests.factories import NOON, InstrumentFactory, OwnerFactory, ShopFactory
from tests.world import build_world

pytestmark = pytest.mark.django_db

NEW = "Wigglesworth"


@pytest.fixture
def piece() -> Instrument:
    """A listed piece of whose kind, maker and model everything is on record, on a filled shelf."""
    ShopFactory()
    world = build_world()
    world.listed.recordings.update(state=Recording.State.READY, title="Played slowly", seconds=3)
    InstrumentFactory(listed=True, story="Another piece.")
    fill()
    return Instrument.objects.get(pk=world.listed.pk)


@pytest.fixture
def owner(piece: Instrument) -> User:
    return OwnerFactory()


def shelf_now() -> tuple[dict[int, str], dict[int, dict[str, bool]], set[str]]:
    """The shelf as it is kept."""
    said: dict[int, dict[str, bool]] = {
        stock: {} for stock in Shelved.objects.values_list("stock", flat=True)
    }
    for stock, word, in_name in Said.objects.values_list("shelved", "known__word", "in_name"):
        said[stock][word] = in_name
    return (
        dict(Shelved.objects.values_list("stock", "word")),
        said,
        set(KnownWord.objects.values_list("word", flat=True)),
    )


def shelf_afresh() -> tuple[dict[int, str], dict[int, dict[str, bool]], set[str]]:
    """The shelf as the records would make it."""
    listed: list[Any] = list(pages(Instrument.objects.listed(), at=NOON))
    said = {row.stock_id: page_words(row) for row in listed}
    return (
        {row.stock_id: row.word for row in listed},
        said,
        {word for words in said.values() for word in words},
    )


def saving(row: Any, **values: Any) -> Callable[[], None]:
    """What a form's `save` does: change a row that hangs from the record."""

    def save() -> None:
        for name, value in values.items():
            setattr(row, name, value)
        row.save()

    return save


Deed = Callable[[Instrument, dict[str, Any]], object]


def rows(relation: str, pick: Callable[[Instrument], Any], **values: Any) -> Deed:
    return lambda piece, now: change_rows(piece, relation, saving(pick(piece), **values), **now)


def leaf(piece: Instrument) -> Part:
    return Part.objects.filter(kind=piece.kind, children=None)[2]


DEEDS: dict[str, Deed] = {
    "story": lambda piece, now: change_record(piece, {"story": NEW}, **now),
    "condition": lambda piece, now: change_record(piece, {"condition": NEW}, **now),
    "set-up": lambda piece, now: change_record(piece, {"setup": NEW}, **now),
    "how the date is known": lambda piece, now: change_record(piece, {"made_evidence": NEW}, **now),
    "how it was converted": lambda piece, now: change_record(piece, {"conversion_note": NEW}, **now),
    "identified": lambda piece, now: identify(piece, NEW, "Model", {}, **now),
    "a number": rows("numbers", lambda piece: piece.numbers.first(), value=NEW),
    "a number added": lambda piece, now: change_rows(
        piece, "numbers", lambda: FoundNumber.objects.create(instrument=piece, value=NEW, where="rim"), **now
    ),
    "what comes with it": rows("included", lambda piece: piece.included.first(), what=NEW),
    "provenance": rows("provenance", lambda piece: piece.provenance.first(), public=NEW),
    "dating": rows("dating", lambda piece: piece.dating.last(), says=NEW),
    "unusual": rows("unusual", lambda piece: piece.unusual.first(), evidence=NEW),
    "a part": lambda piece, now: examine(
        piece, {leaf(piece): Found("later", seen="eye", evidence=NEW)}, **now
    ),
    "a measurement": lambda piece, now: measure(
        piece, {piece.kind.measures.filter(quantity="choice")[0]: Measured(word=NEW)}, **now
    ),
    "a caption": lambda piece, now: describe(piece.photographs.get(), caption=NEW, view=None, **now),
    "a paper": lambda piece, now: change_paper(piece.papers.get(), {"title": NEW}, **now),
    "a recording": lambda piece, now: change_recording(piece.recordings.get(), {"title": NEW}, **now),
    "maker renamed": lambda piece, now: rename_maker(piece.maker, NEW, was=piece.maker.name, **now),
    "model renamed": lambda piece, now: rename_model(piece.model, NEW, was=piece.model.name, **now),
    "maker described": lambda piece, now: describe_maker(piece.maker, {"note": NEW}, **now),
    "part renamed": lambda piece, now: change_sheet(
        piece.kind, "parts", saving(piece.findings.first().part, name=NEW), **now
    ),
    "configuration renamed": lambda piece, now: change_sheet(
        piece.kind, "configurations", saving(piece.configuration_now, name=NEW), **now
    ),
    "view renamed": lambda piece, now: change_sheet(
        piece.kind, "views", saving(piece.photographs.get().view, name=NEW), **now
    ),
}


@pytest.mark.parametrize("deed", DEEDS.values(), ids=DEEDS.keys())
def test_a_new_word_is_found_at_once(piece: Instrument, owner: User, deed: Deed) -> None:
    assert found(NEW) == []
    before = the_shelf().edition
    deed(piece, {"by": owner, "at": NOON})
    assert piece.stock_id in found(NEW)
    assert the_shelf().edition != before
    assert shelf_now() == shelf_afresh()


REMOVALS: dict[str, tuple[str, Deed]] = {
    "a photograph removed": (
        "front",
        lambda piece, now: remove(piece.photographs.get(), **now),
    ),
    "a recording taken off": ("slowly", lambda piece, now: take_off(piece.recordings.get(), **now)),
    "a paper that may not be named": (
        "bill",
        lambda piece, now: change_paper(piece.papers.get(), {"public": False}, **now),
    ),
    "what is usual on its model": (
        "pierced",
        lambda piece, now: change_lists(piece.model, lambda: piece.model.usual.all().delete(), **now),
    ),
    "what was seen of its model's features": (
        "pierced",
        rows("seen_features", lambda piece: piece.seen_features.get(what="Tailpiece"), value="Plain"),
    ),
    "what comes with it": (
        "hard",
        lambda piece, now: change_rows(piece, "included", lambda: piece.included.all().delete(), **now),
    ),
}


@pytest.mark.parametrize(("word", "deed"), REMOVALS.values(), ids=REMOVALS.keys())
def test_a_word_that_is_said_no_longer_is_found_no_longer(
    piece: Instrument, owner: User, word: str, deed: Deed
) -> None:
    assert piece.stock_id in found(word)
    deed(piece, {"by": owner, "at": NOON})
    assert piece.stock_id not in found(word)
    assert shelf_now() == shelf_afresh()


def test_the_word_on_the_whole_and_the_choices_follow(piece: Instrument, owner: User) -> None:
    now = {"by": owner, "at": NOON}
    before = Shelved.objects.get(instrument=piece).word
    change_record(piece, {"configuration_made": piece.configuration_now}, **now)
    assert Shelved.objects.get(instrument=piece).word != before
    rename_maker(piece.maker, NEW, was=piece.maker.name, **now)
    assert NEW in [choice.says for choice in the_shelf().choices["maker"]]
    assert shelf_now() == shelf_afresh()


def test_a_piece_that_leaves_the_street_leaves_the_shelf(owner: User) -> None:
    taken_down, sold = InstrumentFactory(listed=True), InstrumentFactory(listed=True, story="Nightingale")
    fill()
    withdraw(taken_down, by=owner, at=NOON)
    mark_sold(sold, by=owner, at=NOON)
    assert not Shelved.objects.filter(instrument__in=[taken_down, sold]).exists()
    assert not KnownWord.objects.filter(word="nightingale").exists()
    assert shelf_now() == shelf_afresh()


def test_a_draft_changes_no_edition(piece: Instrument, owner: User) -> None:
    draft, before = InstrumentFactory(), refill_and_read()
    change_record(draft, {"story": NEW}, by=owner, at=NOON)
    assert the_shelf().edition == before
    assert found(NEW) == []


def refill_and_read() -> str:
    refill()
    return the_shelf().edition


def test_a_deed_that_is_undone_leaves_the_shelf_as_it_was(piece: Instrument, owner: User) -> None:
    before, edition = shelf_now(), the_shelf().edition
    with pytest.raises(RuntimeError):
        change_and_fail(piece, owner)
    assert (shelf_now(), the_shelf().edition) == (before, edition)


@transaction.atomic
def change_and_fail(piece: Instrument, owner: User) -> None:
    change_record(piece, {"story": NEW}, by=owner, at=NOON)
    assert the_shelf().edition
    raise RuntimeError


def test_the_shelf_is_filled_when_it_is_first_read(piece: Instrument) -> None:
    Edition.objects.all().delete()
    Shelved.objects.all().delete()
    KnownWord.objects.all().delete()
    assert len(the_shelf().stocks) == 2
    assert shelf_now() == shelf_afresh()


def test_the_command_makes_the_shelf_again(piece: Instrument) -> None:
    Instrument.objects.filter(pk=piece.pk).update(story=NEW)
    assert found(NEW) == []
    told = StringIO()
    call_command("shelve", stdout=told)
    assert found(NEW) == [piece.stock_id]
    assert told.getvalue() == "2 pieces on the shelf.\n"
