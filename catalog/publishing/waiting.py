"""Who is waited for before a piece goes out: told by rooms further up the street.

The catalogue never imports an inquiry. The inquiries app registers here, at start, how those are found who have been
promised a first word on a piece, and what is done when it goes out all the same.
"""

from collections.abc import Callable
from datetime import datetime

from catalog.instruments.models import Instrument
from shop.staff.models import User

Ask = Callable[[Instrument, datetime], list[str]]
Gone = Callable[[Instrument, User | None, datetime], None]

_ask: list[Ask] = []
_gone: list[Gone] = []


def register(ask: Ask, gone: Gone) -> None:
    """Tell the catalogue who is waited for, a sentence each, and what follows when a piece is published."""
    _ask[:] = [ask]
    _gone[:] = [gone]


def waited_for(instrument: Instrument, *, at: datetime) -> list[str]:
    """A sentence for each person who still has time, or wants it; empty when nobody is waited for."""
    return [says for ask in _ask for says in ask(instrument, at)]


def published(instrument: Instrument, *, by: User | None, at: datetime) -> None:
    """It is on the public side now."""
    for gone in _gone:
        gone(instrument, by, at)
