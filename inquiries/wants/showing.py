"""How first calls are shown at the desk: lines with what can be pressed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from catalog.models import Instrument
from inquiries.wants.call_actions import ANSWERABLE, next_to_tell, reachable, turn_of
from inquiries.wants.models import Call, FirstCall
from inquiries.wants.queries import first_calls_of, seekers_for
from inquiries.wants.turn_rules import Word, stands


@dataclass(frozen=True)
class Line:
    """One call as it stands at an instant."""

    call: Call
    word: Word
    says: str
    next: bool
    by_mail: bool

    @property
    def reasons(self) -> list[str]:
        """Why the piece met the wish."""
        return self.call.reasons.splitlines()

    @property
    def answerable(self) -> bool:
        """Whether what they said can be noted."""
        return self.call.said in ANSWERABLE

    @property
    def left(self) -> bool:
        """Whether they have not been told."""
        return self.word == Word.NOT_TOLD


def lines_of(first: FirstCall, *, at: datetime) -> list[Line]:
    """Everybody in a first call, in order, whose calls are at hand."""
    calls = list(first.calls.all())
    turn = set() if first.ended_at else {call.pk for call in next_to_tell(first, calls, at=at)}
    return [line_of(call, at=at, turn=call.pk in turn) for call in calls]


def line_of(call: Call, *, at: datetime, turn: bool = False) -> Line:
    """One call."""
    word = stands(turn_of(call), at=at)
    return Line(call, word, Call.Said(word.value).label, turn, reachable(call))


def shown_first_call(instrument: Instrument, *, at: datetime) -> dict[str, Any]:
    """What the pages of a piece say: who seeks it while it is not public, the open first call, and earlier ones."""
    firsts: Sequence[FirstCall] = list(first_calls_of(instrument))
    held = [(first, lines_of(first, at=at)) for first in firsts]
    return {
        "first_call": next((one for one in held if not one[0].ended_at), None),
        "earlier_calls": [one for one in held if one[0].ended_at],
        "seekers": [] if instrument.is_public else seekers_for(instrument, at=at),
    }
