"""The paper while it is filled: how much room there is, what was left out, which photographs it shows."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from catalog.public.shown.wording import shortened
from catalog.report.rules import Room

Block = dict[str, Any]


@dataclass
class Sheet:
    """One paper; `photographs` gives the number of each that is printed, by its anchor on the page.

    `guarantee` is what the shop stands behind, on any instrument.
    """

    room: Room
    photographs: Mapping[str, int] = field(default_factory=dict)
    guarantee: str = ""
    left_out: list[str] = field(default_factory=list)

    def text(self, text: str, of: str) -> str:
        """The text, shortened when it must be."""
        kept = shortened(text, self.room.text)
        if kept != text.strip():
            self.without(f"the rest of “{of}”")
        return kept

    def rows(self, rows: Iterable[Any], of: str) -> list[Any]:
        """The rows, fewer when they must be."""
        found = list(rows)
        if (more := len(found) - self.room.rows) > 0:
            self.without(f"{more} {'line' if more == 1 else 'lines'} of “{of}”")
        return found[: self.room.rows]

    def without(self, what: str) -> None:
        """Note that something was left out."""
        if what not in self.left_out:
            self.left_out.append(what)

    def photograph(self, anchor: str) -> str:
        """“Photograph 3” for one that is printed."""
        number = self.photographs.get(anchor.removeprefix("#"))
        return f"Photograph {number}" if number else ""

    def words(self, text: str, of: str) -> list[Block]:
        """Paragraphs, or nothing."""
        kept = self.text(text, of)
        return [{"kind": "words", "text": kept}] if kept else []

    def soft(self, text: str, of: str) -> list[Block]:
        """A paragraph in quiet ink, or nothing."""
        kept = self.text(text, of)
        return [{"kind": "soft", "text": kept}] if kept else []

    def listed(self, rows: Iterable[str], of: str) -> list[Block]:
        """A list, or nothing."""
        kept = [self.text(row, of) for row in self.rows(rows, of)]
        return [{"kind": "list", "rows": kept}] if kept else []

    def dated(self, rows: Iterable[tuple[str, str, bool]], of: str) -> list[Block]:
        """What happened when, or nothing; a row with True is a gap."""
        kept = [[when, self.text(what, of), gap] for when, what, gap in self.rows(rows, of)]
        return [{"kind": "dated", "rows": kept}] if kept else []

    def facts(self, rows: Iterable[tuple[str, str, str]], of: str) -> list[Block]:
        """A name, its value and a remark in quiet ink each, or nothing."""
        kept = [
            [name, self.text(value, of), self.text(note, of)] for name, value, note in self.rows(rows, of)
        ]
        return [{"kind": "facts", "rows": kept}] if kept else []


def said(*parts: str) -> str:
    """The parts as sentences, each with its full stop."""
    return " ".join(
        part if part.endswith((".", "!", "?", "…", "”")) else f"{part}." for part in parts if part
    )
