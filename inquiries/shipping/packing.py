"""What is usually done when a piece is packed: packing.json. Common practice, and no rule of a carrier or insurer.

What was read, in pages of dealers and repairers, is told apart from what is from memory.
"""

import json
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

FILE = Path(__file__).parent / "packing.json"


class Step(NamedTuple):
    """One thing to do; `read` is whether it was read somewhere, or is from memory."""

    says: str
    read: bool


class Part(NamedTuple):
    """The steps that are done together."""

    title: str
    steps: tuple[Step, ...]


@cache
def _known() -> dict[str, Any]:
    known: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))
    return known


def packing_list(kind: str) -> list[Part]:
    """The list for one kind; a kind that the shop added has the steps that suit any."""
    known = _known()
    own = known["kinds"].get(kind, known["kinds"]["other"])
    first, *rest = (Part(part["title"], _steps(part["steps"])) for part in known["common"])
    return [first, Part("On the instrument", _steps(own)), *rest]


def _steps(rows: list[dict[str, Any]]) -> tuple[Step, ...]:
    return tuple(Step(row["says"], row["read"]) for row in rows)
