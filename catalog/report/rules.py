"""How much room a report has. What does not fit is left out in this order, and the report says so.

Common practice, no source: a report that goes with an instrument is one to four sheets.
"""

from typing import NamedTuple

MOST_PAGES = 4
UNBOUNDED = 1_000_000


class Room(NamedTuple):
    """Type in points; photographs after the lead one; whether it is told how original parts were seen.

    `text` is the longest a text may be, in characters; `rows` the most rows of a list.
    """

    type: float
    pictures: int
    told: bool = True
    text: int = UNBOUNDED
    rows: int = UNBOUNDED


# Smaller type first, then what matters least: how original parts were seen, photographs, the ends of long texts, and
# only then rows. The last room holds any record.
ROOMS = (
    Room(10, 8),
    Room(9, 8),
    Room(8.5, 6),
    Room(8, 6, told=False),
    Room(8, 4, told=False, text=1200),
    Room(8, 3, told=False, text=400),
    Room(8, 3, told=False, text=200),
    Room(8, 3, told=False, text=120),
    Room(8, 2, told=False, text=80, rows=60),
    Room(8, 2, told=False, text=60, rows=30),
    Room(8, 0, told=False, text=50, rows=12),
    Room(8, 0, told=False, text=40, rows=5),
)
