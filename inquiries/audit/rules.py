"""What must agree with what in the books, from values alone. The rules are our own: common practice, no source."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import pairwise
from typing import NamedTuple

from inquiries.sales.rules import Stage

# The one step that a sale takes without any deed: its approval period runs out, and nobody has looked since.
BY_THE_CLOCK = {(Stage.APPROVAL, Stage.APPROVED)}


class Finding(NamedTuple):
    """One thing that is not in order: where, what, and what to do about it. `page` is where it is seen at the desk.

    Findings are kept, so they name rows and never a person.
    """

    where: str
    what: str
    remedy: str
    page: str = ""

    def __str__(self) -> str:
        return f"{self.where}: {self.what} {self.remedy}"


class Place(NamedTuple):
    """One place in the queue for a piece, as stored; the span is empty behind an open sale."""

    who: str
    active: bool
    length: int
    starts_at: datetime | None
    until: datetime | None


def copy_in_order(stored: str, computed: Stage) -> bool:
    """Whether the stored copy of a stage is as it should be: what the rows say, or what they said as of the last deed.

    A copy is set by deeds, so it may lag behind by what the clock alone has done since: from “On approval” to
    “Approval over”, and by nothing else.
    """
    return stored == computed.name or any(
        stored == before.name and computed == after for before, after in BY_THE_CLOCK
    )


def missing_numbers(given: Iterable[int], *, first: int, last: int) -> list[int]:
    """The numbers from `first` up to `last` that were never given."""
    return sorted(set(range(first, last + 1)) - set(given))


def broken_queue(queue: Sequence[Place], *, behind_sale: bool) -> list[str]:
    """What is wrong with the queue for one piece, in the order in which its people asked; nothing when all is well.

    Behind an open sale no span is known. Else the first one runs, and each begins at the instant at which the one
    before it ends; each lasts the hours that were promised, whatever the clocks do meanwhile.
    """
    wrong = []
    if sum(place.active for place in queue) > 1:
        wrong.append("more than one hold runs.")
    for number, place in enumerate(queue):
        if place.active and (number or behind_sale):
            wrong.append(
                f"{place.who} runs, though {'it is in a sale' if behind_sale else 'others asked before'}."
            )
        if behind_sale and (place.starts_at or place.until):
            wrong.append(f"{place.who} has a time, though it is in a sale.")
        if not behind_sale:
            wrong += _broken_span(place)
    for before, after in pairwise(queue):
        if not behind_sale and before.until != after.starts_at:
            wrong.append(f"the time of {after.who} does not begin where that of {before.who} ends.")
    return wrong


def _broken_span(place: Place) -> list[str]:
    if place.starts_at is None or place.until is None:
        return [f"{place.who} waits without a time, though no sale stands in the way."]
    if (place.until - place.starts_at).total_seconds() != place.length * 3600:
        return [f"the time of {place.who} is not the {place.length} hours that were promised."]
    return []
