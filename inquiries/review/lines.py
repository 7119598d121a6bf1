"""What Today is made of: lines, and the parts in which like lines stand."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

MOST = 30  # shown in one part of the page; the rest is on the list it comes from


@dataclass(frozen=True)
class Due:
    """One line: what, a note, where it is done (`href`, with the button's words), and when, if there is an instant.

    `day` is named in its place where there is a last day: then `when` is the instant after it. `presses` are further
    buttons: the words of each, and where it is sent.
    """

    what: str
    note: str
    href: str
    deed: str
    when: datetime | None = None
    day: date | None = None
    over: bool = False
    job: int | None = None
    presses: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Part:
    """A part of the page: like things, in order. `more` is the list they come from.

    `in_all` is how many there are, where `items` are only the first of them.
    """

    slug: str
    title: str
    items: Sequence[Due]
    more: str
    in_all: int = 0

    @property
    def shown(self) -> Sequence[Due]:
        """The lines that are shown."""
        return self.items[:MOST]

    @property
    def number(self) -> int:
        """How many there are."""
        return max(self.in_all, len(self.items))

    @property
    def hidden(self) -> int:
        """How many are left for the list."""
        return self.number - len(self.shown)
