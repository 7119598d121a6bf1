"""What kept pages rest on, as small files that every process of the shop sees: one for each thing shown.

A deed that changes a thing stamps it twice. Inside its transaction the stamp is put down open: something is under
way. After the commit it is put down again, closed. A page remembers the stamps it was made under, read before it was
made; when one of them is another file now, the page is made anew. A page that is made between the two may show the
old state, and is replaced by the second. If the process is killed between the two, the second never comes: so what
was made under an open stamp lasts for a minute only. A closed one is good for as long as it lies there.
"""

import os
import time
import uuid
from collections.abc import Iterable, Mapping
from functools import partial
from pathlib import Path
from typing import NamedTuple

from django.conf import settings
from django.db import transaction

OPEN_SECONDS = 60.0
ANYTHING = "anything"  # replaced after every other stamp: while it lies there, all others do
EVERYTHING = "everything"  # every page rests on this one: a change that cannot be told apart


class Stamp(NamedTuple):
    """One stamp as it lies there: when it was put down, which file it is, and whether a deed is under way."""

    nanoseconds: int
    file: int
    open: int


Stamps = Mapping[str, Stamp | None]


def stamp(names: Iterable[str]) -> None:
    """These things change: call it in the deed's transaction, after the change."""
    wanted = sorted(set(names))
    if wanted:
        _put_down(wanted, under_way=True)
        transaction.on_commit(partial(_put_down, wanted, under_way=False), robust=True)


def look_at(name: str) -> Stamp | None:
    """The stamp as it lies there now; None for a thing that has not changed in all that time."""
    try:
        found = os.stat(f"{settings.STAMPS_DIR}/{name}")  # noqa: PTH116 - on the way of every answer
    except FileNotFoundError:
        return None
    return Stamp(found.st_mtime_ns, found.st_ino, found.st_size)


def open_until(stamps: Stamps) -> float | None:
    """Until when, in seconds of the clock, a page made under these may last because a deed is under way."""
    begun = [seen.nanoseconds / 1e9 for seen in stamps.values() if seen and seen.open]
    ends = [since + OPEN_SECONDS for since in begun if since + OPEN_SECONDS > time.time()]
    return min(ends, default=None)


def _put_down(names: Iterable[str], *, under_way: bool) -> None:
    for name in (*names, ANYTHING):
        _replace(Path(settings.STAMPS_DIR), name, under_way=under_way)


def _replace(folder: Path, name: str, *, under_way: bool) -> None:
    """A new file in the place of the old one in one step, marked to the nanosecond: no two are alike."""
    folder.mkdir(parents=True, exist_ok=True)
    beside, now = folder / f".{name}-{uuid.uuid4().hex}", time.time_ns()
    beside.write_bytes(b"." if under_way else b"")
    os.utime(beside, ns=(now, now))
    beside.replace(folder / name)
