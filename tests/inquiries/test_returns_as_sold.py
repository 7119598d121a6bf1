"""A piece that comes back is held against what its record said when it left, not against what was written since."""

import itertools
from collections.abc import Sequence
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.instruments.actions import change_rows
from catalog.instruments.as_it_was import undone
from catalog.models import Finding, FoundNumber, Included, Instrument, Part
from catalog.originality.actions import Found, examine
from catalog.originality.queries import leaf_parts
from inquiries.models import Sale
from inquiries.returns.compared import to_compare
from tests.factories import NOON, InstrumentFactory, PhotographFactory
from tests.inquiries.steps import delivered, opened

DAY = timedelta(days=1)
LEFT = NOON  # the parcel of `sale` is sent at noon


@pytest.fixture
def piece(db: None) -> Instrument:
    instrument: Instrument = InstrumentFactory(listed=True)
    return instrument


@pytest.fixture
def parts(piece: Instrument) -> list[Part]:
    return leaf_parts(piece)[:3]


def found(piece: Instrument, part: Part, state: str, at: datetime, when: str = "") -> None:
    """What was found of one part, written at an instant."""
    examine(piece, {part: Found(state, seen="eye", when=when)}, by=None, at=at)


def sold(piece: Instrument) -> Sale:
    return delivered(opened(instrument=piece, at=NOON - DAY), at=LEFT)


def recorded(sale: Sale, what: str) -> list[str]:
    return [one.recorded for one in to_compare(sale) if one.what == what]


def test_a_finding_changed_since_says_what_it_said_then_and_the_day(
    piece: Instrument, parts: Sequence[Part]
) -> None:
    first, second, third = parts
    found(piece, first, "original", NOON - 9 * DAY, when="c. 1950")
    found(piece, second, "period", NOON - 9 * DAY)
    sale = sold(piece)
    assert recorded(sale, first.name) == ["Original"]
    found(piece, first, "later", NOON + DAY)
    found(piece, first, "reproduction", NOON + 2 * DAY)
    found(piece, third, "missing", NOON + 2 * DAY)
    assert recorded(sale, first.name) == [
        "Original; changed to “Reproduction” on 12 June 2026, after it left"
    ]
    assert recorded(sale, second.name) == ["Period-correct replacement"]
    assert recorded(sale, third.name) == ["Not examined; changed to “Missing” on 12 June 2026, after it left"]


def test_a_finding_that_was_changed_and_changed_back_is_as_it_was(
    piece: Instrument, parts: Sequence[Part]
) -> None:
    found(piece, parts[0], "original", NOON - 9 * DAY)
    sale = sold(piece)
    found(piece, parts[0], "later", NOON + DAY)
    found(piece, parts[0], "original", NOON + 2 * DAY)
    assert recorded(sale, parts[0].name) == [
        "Original; its finding was changed on 12 June 2026, after it left"
    ]


def test_a_change_of_which_the_history_tells_nothing_is_said_with_its_day(
    piece: Instrument, parts: Sequence[Part]
) -> None:
    sale = sold(piece)
    Finding.objects.create(instrument=piece, part=parts[0], state="later", seen="eye", examined_at=NOON + DAY)
    assert recorded(sale, parts[0].name) == [
        "Later replacement; its finding was changed on 11 June 2026, after it left"
    ]


def test_photographs_numbers_and_things_of_later_are_left_out_and_what_was_removed_stands(
    piece: Instrument,
) -> None:
    number = FoundNumber.objects.create(instrument=piece, value="4417", where="on the rim")
    Included.objects.create(instrument=piece, what="Hard case")
    before, after = (
        PhotographFactory(instrument=piece, received_at=at) for at in (LEFT, LEFT + timedelta(seconds=1))
    )
    sale = sold(piece)
    change_rows(piece, "numbers", number.delete, by=None, at=NOON + DAY)
    change_rows(
        piece,
        "included",
        lambda: Included.objects.create(instrument=piece, what="A strap"),
        by=None,
        at=NOON + DAY,
    )
    assert recorded(sale, "Number") == ["Serial number, 4417, on the rim, Clear"]
    assert recorded(sale, "Comes with it") == ["Hard case"]
    pictures = [one.photograph for one in to_compare(sale) if one.photograph]
    assert before in pictures
    assert after not in pictures
    assert len({one.key for one in to_compare(sale)}) == len(to_compare(sale))


@given(st.lists(st.lists(st.sampled_from("abcdef"), unique=True), min_size=1, max_size=6))
def test_undoing_every_change_gives_the_first_rows(states: list[list[str]]) -> None:
    """As the history keeps it: of each change the rows that only one side has."""
    later = [
        (
            "\n".join(row for row in old if row not in new),
            "\n".join(row for row in new if row not in old),
        )
        for old, new in itertools.pairwise(states)
    ]
    assert sorted(undone(states[-1], reversed(later))) == sorted(states[0])
