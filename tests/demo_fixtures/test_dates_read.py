"""Every date of the invented shop is one that the shop can read."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import demo_fixtures
from catalog.dating.reading import MadeDate, read_date, understood

FILES = sorted(Path(demo_fixtures.__file__).parent.rglob("*.json"))
DATES = {"made", "when"}


def dates_in(part: Any) -> Iterator[str]:
    """Every date below `part`, in the order of the file; a piece of unknown date has an empty one."""
    if isinstance(part, dict):
        yield from (
            value for name, value in part.items() if name in DATES and isinstance(value, str) and value
        )
    for inner in part.values() if isinstance(part, dict) else part if isinstance(part, list) else []:
        yield from dates_in(inner)


def written() -> list[str]:
    found = [date for file in FILES for date in dates_in(json.loads(file.read_text(encoding="utf-8")))]
    return sorted(set(found))


@pytest.mark.parametrize("typed", written())
def test_each_date_is_read_and_said_back(typed: str) -> None:
    made = read_date(typed)
    assert isinstance(made, MadeDate)
    assert understood(made)


def test_the_dates_show_many_ways_of_writing_one() -> None:
    edtf = [read_date(typed).edtf for typed in written()]
    assert len(edtf) > 60
    assert all(any(sign in one for one in edtf) for sign in ("~", "/", "X"))
