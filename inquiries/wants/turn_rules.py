"""Whose turn it is in a first call, from values alone. The rule is the shop's own: common practice, no source.

Where one person is told at a time, the next one is told when nobody before them wants the piece or still has time.
What somebody who was told has not said by the end of their time is read as “let the time go by” from that very
instant on, whether or not it has been written down.
"""

from collections.abc import Sequence
from datetime import datetime
from enum import StrEnum
from typing import NamedTuple


class Word(StrEnum):
    """What stands for a call; the values of Call.Said."""

    NOT_TOLD = "not-told"
    NOTHING = "nothing"
    YES = "yes"
    NO = "no"
    LAPSED = "lapsed"
    PASSED = "passed"


class Turn(NamedTuple):
    """One call: what was said, and until when it is theirs."""

    said: Word
    until: datetime | None = None


def stands(turn: Turn, *, at: datetime) -> Word:
    """What stands at an instant; the end of their time is no longer theirs."""
    if turn.said == Word.NOTHING and turn.until is not None and turn.until <= at:
        return Word.LAPSED
    return turn.said


def may_be_told(turns: Sequence[Turn], *, one_at_a_time: bool, at: datetime) -> list[int]:
    """The places, in order, of those who may be told at an instant: all who are not told yet, or the next in turn."""
    words = [stands(turn, at=at) for turn in turns]
    left = [number for number, word in enumerate(words) if word == Word.NOT_TOLD]
    if not one_at_a_time:
        return left
    if any(word in {Word.NOTHING, Word.YES} for word in words):
        return []
    return left[:1]
