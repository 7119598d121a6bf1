"""Whose turn it is in a thread, and how long our first answer took, from values alone.

The database answers the same questions for many threads at once (`turns.py`, `queries.py`); a test holds both equal.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

FIRST_ANSWER = (
    "The time to our first answer runs from the first question of a thread to our first answer in it, by whatever "
    "channel. What goes out by itself is no answer, an automatic reply is no question, and a word that we marked as "
    "needing no answer is none either. A question counts in the month in which it was asked; one without an answer is "
    "counted as not answered yet, and has no part in the median."
)


class Turn(StrEnum):
    """Whose turn it is; the value stands in addresses."""

    OURS = "ours"
    THEIRS = "theirs"
    DONE = "done"

    @property
    def word(self) -> str:
        """The word on the screen."""
        return {"ours": "Ours to answer", "theirs": "Theirs to answer", "done": "Done"}[self.value]


@dataclass(frozen=True)
class Word:
    """One thing said, as these rules read it."""

    at: datetime
    ours: bool
    automatic: bool = False
    needs_no_answer: bool = False

    @property
    def asks(self) -> bool:
        """Whether it wants an answer of ours."""
        return not (self.ours or self.automatic or self.needs_no_answer)

    @property
    def answers(self) -> bool:
        """Whether one of us said it, by whatever channel."""
        return self.ours and not self.automatic


@dataclass(frozen=True)
class FirstAnswer:
    """When a thread's first question came, and when we first answered; None while we have not."""

    asked: datetime
    answered: datetime | None


def whose_turn(*, done_at: datetime | None, waiting_since: datetime | None) -> Turn:
    """Done once it is laid aside; ours while a word of theirs waits; theirs otherwise."""
    if done_at:
        return Turn.DONE
    return Turn.OURS if waiting_since else Turn.THEIRS


def waiting_since(words: Iterable[Word]) -> datetime | None:
    """When the first of their words came that wants an answer and has none; `words` in the order they were said."""
    since = None
    for word in words:
        if word.answers:
            since = None
        elif word.asks and since is None:
            since = word.at
    return since


def first_answer(words: Iterable[Word]) -> FirstAnswer | None:
    """The first question and our first answer to it; None where nothing was asked. See FIRST_ANSWER."""
    asked = None
    for word in words:
        if asked is None and word.asks:
            asked = word.at
        elif asked is not None and word.answers:
            return FirstAnswer(asked, word.at)
    return FirstAnswer(asked, None) if asked else None
