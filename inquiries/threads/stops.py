"""What a text written by hand is read for before it goes out: other rooms say what must not leave the house.

A room registers a reader at start (`inquiries/apps.py`). A reader gets the text and the thread and names the places
that stand in the way, each with a sentence. Some give way to a second press, “Send as it stands”; the others do not.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from inquiries.threads.models import Inquiry
from shop.refusal import Refused


class Stop(NamedTuple):
    """A place in a text, from `start` up to `end`, and why it must not go out as it stands."""

    start: int
    end: int
    why: str
    gives_way: bool = False


class Stopped(Refused):
    """The text does not go out: its places stand in `stops`, in the order of the text."""

    def __init__(self, stops: Sequence[Stop]) -> None:
        self.stops = tuple(stops)
        held = [stop for stop in self.stops if not stop.gives_way]
        super().__init__(
            "Your answer has not gone out. Change the marked places: " + " ".join(_said(held))
            if held
            else "Your answer has not gone out yet. Change the marked places, or send it as it stands: "
            + " ".join(_said(self.stops)),
            code="stopped" if held else "stopped-once",
        )


Reader = Callable[[str, Inquiry], Sequence[Stop]]

_readers: list[Reader] = []


def register(reader: Reader) -> Reader:
    """Have every text that is written by hand read by this, too. Usable as a decorator."""
    if reader not in _readers:
        _readers.append(reader)
    return reader


def stops_in(text: str, inquiry: Inquiry) -> tuple[Stop, ...]:
    """All places that stand in the way, in the order of the text."""
    return tuple(sorted({stop for reader in _readers for stop in reader(text, inquiry)}))


def let_through(text: str, inquiry: Inquiry, *, as_it_stands: bool = False) -> tuple[Stop, ...]:
    """Raise `Stopped` when something stands in the way; what gave way to the second press is returned."""
    found = stops_in(text, inquiry)
    if not all(stop.gives_way and as_it_stands for stop in found):
        raise Stopped(found)
    return found


def _said(stops: Sequence[Stop]) -> list[str]:
    return list(dict.fromkeys(stop.why for stop in stops))
