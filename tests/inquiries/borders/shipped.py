"""The rules that the shop opens with, read from their file without a database."""

import json
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import inquiries.borders
from inquiries.borders.conditions import alternatives
from inquiries.borders.queries import names
from inquiries.borders.rules import Rule

FILE = Path(inquiries.borders.__file__).parent / "rules.json"


@cache
def shipped_rules() -> tuple[Rule, ...]:
    """Every rule of the file."""
    return tuple(_rule(row) for row in json.loads(FILE.read_text(encoding="utf-8")))


def _rule(row: dict[str, Any]) -> Rule:
    days = {name: row[name] and date.fromisoformat(row[name]) for name in ("since", "until", "read_on")}
    read = {
        **days,
        "taxa": names(row["taxa"]),
        "without": names(row["without"]),
        "countries": tuple(row["countries"].split()),
        "applies_if": alternatives(row["applies_if"]),
        "unless": alternatives(row["unless"]),
    }
    return Rule(**{**row, **read})
