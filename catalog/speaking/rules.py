"""The lines of a speaker's sheet: what the record gives, merged with what the dealer made of it.

Common practice, no source: one page, in the order in which a piece is told before a camera or on the telephone.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from catalog.public.shown.wording import lowered, shortened

# Key, label, the section of the record it is drawn from, the place there, and the most characters it may have.
# Together they are what one page holds.
LINES = (
    ("what", "What it is", "identity", "#id_made", 240),
    ("unusual", "Why it is rare", "unusual", "", 280),
    ("condition", "Condition", "condition", "#id_condition", 320),
    ("originality", "Originality", "parts", "", 520),
    ("included", "What comes with it", "included", "#id_included-0-what", 220),
    ("oddities", "Oddities", "numbers", "", 260),
    ("setup", "Set-up", "setup", "#id_setup", 200),
    ("tone", "How it sounds", "speaker", "#reword-tone", 240),
    ("story", "Story", "story", "#id_story", 380),
    ("price", "Price", "price", "#id_asking_price", 140),
)
KEYS = tuple(key for key, *_ in LINES)
LABELS = {key: label for key, label, *_ in LINES}
MOST = {key: most for key, *_, most in LINES}
# Where else a line may be drawn from, as the sections of the record are called.
PLACES = {
    "claims": "Claims", "unusual": "What is unusual", "numbers": "Numbers", "provenance": "Provenance",
}  # fmt: skip

# Types of print, by how many characters of usual width all lines have together; a capital is wider by two fifths.
SIZES = ((1000, "large"), (1900, "middle"), (2900, "small"))
SMALLEST = "least"
CAPITAL = 1.4


class Drawn(NamedTuple):
    """Words for a line, and the row of the record that they are drawn from."""

    words: str
    section: str
    anchor: str = ""

    @property
    def place(self) -> str:
        """The name of the section."""
        return PLACES[self.section]


@dataclass(frozen=True)
class Told:
    """What may be told of a piece, as plain values: public facts and the price."""

    name: str
    setout: str = ""
    made_as: str = ""
    dated: str = ""
    grade: str = ""
    grade_meaning: str = ""
    condition: str = ""
    word: str = ""
    exceptions: Sequence[str] = ()
    rare: Sequence[Drawn] = ()
    oddities: Sequence[Drawn] = ()
    included: Sequence[str] = ()
    setup: str = ""
    story: str = ""
    price: str = ""


@dataclass(frozen=True)
class Line:
    """One line as the record gives it; empty words when it gives nothing. `section` and `anchor` are its place.

    `drawn` are its words apart, each with a place of its own, where several rows give them.
    """

    key: str
    label: str
    words: str
    section: str
    anchor: str
    drawn: Sequence[Drawn] = ()


@dataclass(frozen=True)
class Kept:
    """What the dealer made of a line: its place, own words (or none), what the record gave when they were written."""

    key: str
    position: int
    words: str = ""
    from_record: str = ""
    left_out: bool = False


@dataclass(frozen=True)
class Spoken:
    """One line of the sheet."""

    line: Line
    kept: Kept | None = field(default=None)

    @property
    def words(self) -> str:
        """What is read out."""
        return self.kept.words if self.kept and self.kept.words else self.line.words

    @property
    def own(self) -> bool:
        """Whether the words are the dealer's own."""
        return bool(self.kept and self.kept.words)

    @property
    def left_out(self) -> bool:
        """Whether it is not read out."""
        return bool(self.kept and self.kept.left_out)

    @property
    def changed(self) -> bool:
        """Whether the record says something else than it did when the own words were written."""
        return self.own and self.kept is not None and self.kept.from_record != self.line.words


def default_lines(told: Told) -> list[Line]:
    """Every line, in the usual order, as the record gives it."""
    words = {
        "what": _sentences([told.name, told.setout, _converted(told), told.dated]),
        "unusual": _sentences(row.words for row in told.rare),
        "condition": _sentences([_graded(told), told.condition]),
        "originality": _sentences([told.word, *told.exceptions]),
        "included": _sentences([_listed(told.included)]),
        "oddities": _sentences(row.words for row in told.oddities),
        "setup": _sentences([told.setup]),
        "tone": "",
        "story": _sentences([told.story]),
        "price": _sentences([told.price]),
    }
    drawn = {"unusual": told.rare, "oddities": told.oddities}
    return [
        Line(key, label, shortened(words[key], most), *_place(drawn.get(key), section, anchor))
        for key, label, section, anchor, most in LINES
    ]


def _place(drawn: Sequence[Drawn] | None, section: str, anchor: str) -> tuple[str, str, Sequence[Drawn]]:
    """Section and anchor that the name of a line leads to, and the rows that its words are drawn from."""
    return (drawn[0].section, drawn[0].anchor, drawn) if drawn else (section, anchor, ())


def merged(lines: Sequence[Line], kept: Iterable[Kept]) -> list[Spoken]:
    """The lines in the dealer's order with the dealer's words, those left out among them."""
    by_key = {line.key: line for line in lines}
    rows = {row.key: row for row in kept}
    order = in_order([line.key for line in lines], rows.values())
    return [Spoken(by_key[key], rows.get(key)) for key in order]


def in_order(keys: Sequence[str], kept: Iterable[Kept]) -> list[str]:
    """`keys` in the kept order; one without a place of its own follows the one before it in `keys`."""
    order = [row.key for row in sorted(kept, key=lambda row: row.position) if row.key in keys]
    for place, key in enumerate(keys):
        if key not in order:
            order.insert(order.index(keys[place - 1]) + 1 if place else 0, key)
    return order


def moved(order: Sequence[str], key: str, places: int) -> list[str]:
    """`order` with `key` that many places later (earlier, when negative), never beyond either end."""
    rest = [other for other in order if other != key]
    at = min(max(order.index(key) + places, 0), len(rest))
    return [*rest[:at], key, *rest[at:]]


def tidied(words: str) -> str:
    """Own words on one line: the sheet sets its own lines."""
    return " ".join(words.split())


def size(read: Iterable[Spoken]) -> str:
    """How large the lines that are read can be printed, so that all stand on one page."""
    length = sum(CAPITAL if letter.isupper() else 1 for spoken in read for letter in spoken.words)
    return next((name for most, name in SIZES if length <= most), SMALLEST)


def _sentences(parts: Iterable[str]) -> str:
    said = [tidied(part) for part in parts if part.strip()]
    return " ".join(part if part.endswith((".", "!", "?", "…", "”")) else f"{part}." for part in said)


def _converted(told: Told) -> str:
    return f"Made as {lowered(told.made_as)}" if told.made_as else ""


def _graded(told: Told) -> str:
    return f"{told.grade}: {lowered(told.grade_meaning)}" if told.grade_meaning else told.grade


def _listed(things: Sequence[str]) -> str:
    """The things in one sentence; the first keeps its capital."""
    if len(things) < 2:
        return "".join(things)
    first, *rest = things
    *middle, last = [lowered(thing) for thing in rest]
    return f"{', '.join([first, *middle])} and {last}"
