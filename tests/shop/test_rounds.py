"""Rounds: made at once, again after their pause, and a failing one holds up no other."""

from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from shop.jobs.rounds import ROUNDS, Rounds, every
from tests.factories import NOON

MINUTE = timedelta(minutes=1)


@pytest.fixture
def made() -> Iterator[list[datetime]]:
    """The instants at which a round of one minute was made; one before it fails each time."""
    before, instants = dict(ROUNDS), []
    ROUNDS.clear()

    @every(MINUTE)
    def fails(at: datetime) -> None:
        raise OSError("the disk is away")

    every(MINUTE)(instants.append)
    yield instants
    ROUNDS.clear()
    ROUNDS.update(before)


@pytest.mark.parametrize(
    ("seconds", "expected"),
    [([0], [0]), ([0, 30], [0]), ([0, 59, 60, 61], [0, 60]), ([0, 200, 250], [0, 200])],
)
def test_a_round_is_made_at_once_and_then_after_its_pause(
    made: list[datetime], seconds: list[int], expected: list[int]
) -> None:
    rounds = Rounds()
    for second in seconds:
        rounds.go(at=NOON + timedelta(seconds=second))
    assert made == [NOON + timedelta(seconds=second) for second in expected]
