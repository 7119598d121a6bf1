"""The book of the day: who looked at what, under names that nobody can read back.

A folder for each day holds the day's salt and the views noted so far. A visitor stands there only as a keyed hash
of address, browser and listing: without the salt nobody can be found again, one visitor's listings have nothing
in common, and no two days have. When the day is over the whole folder is thrown away.

Two processes share the day's salt: whoever comes first makes it, and its place can be filled only once. A view is
one line, appended in one step, so a process that is killed loses nothing that it has noted.
"""

import os
import secrets
import shutil
import tempfile
import threading
from collections.abc import Callable, Iterator
from datetime import date
from hashlib import blake2b
from pathlib import Path

from catalog.visits.rules import line_of

SALT, VIEWS = "salt", "views"
MOST_KEPT_IN_MIND = 100_000


class DayBook:
    """One process's pen. It keeps in mind what it has noted today, so that a page opened again costs no line."""

    def __init__(self, place: Path) -> None:
        self.place = place
        self._day: date | None = None
        self._salt = b""
        self._noted: set[bytes] = set()
        self._lock = threading.Lock()

    def note(self, day: date, stock: int, visitor: str, *, host: Callable[[], str]) -> None:
        """Note a view, unless this visitor has been noted at this listing today; only then is `host` asked for.

        Raises OSError on a full disk.
        """
        with self._lock:
            if day != self._day:
                self._turn_to(day)
            key = blake2b(f"{stock} {visitor}".encode(), key=self._salt, digest_size=16).digest()
            if key in self._noted:
                return
            try:
                _append(folder_of(self.place, day) / VIEWS, line_of(stock, host(), key.hex()))
            except FileNotFoundError:  # the day was closed, or somebody took the folder away
                self._day = None
                return
            if len(self._noted) >= MOST_KEPT_IN_MIND:
                self._noted.clear()
            self._noted.add(key)

    def _turn_to(self, day: date) -> None:
        self._day, self._salt, self._noted = None, b"", set()
        self._salt = shared_salt(folder_of(self.place, day))
        self._day = day
        for earlier, folder in days_in(self.place):
            if earlier < day:
                (folder / SALT).unlink(missing_ok=True)


def folder_of(place: Path, day: date) -> Path:
    """Where the book of `day` lies."""
    return place / day.isoformat()


def days_in(place: Path) -> Iterator[tuple[date, Path]]:
    """The days that have a book, the first one first."""
    for folder in sorted(place.iterdir()) if place.is_dir() else []:
        try:
            yield date.fromisoformat(folder.name), folder
        except ValueError:  # not ours
            continue


def shared_salt(folder: Path) -> bytes:
    """The day's salt, the same for all processes: written apart, then put in its place if that is still free."""
    place = folder / SALT
    if not place.exists():
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=folder)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(secrets.token_bytes(32))
            os.link(name, place)
        except FileExistsError:
            pass
        finally:
            Path(name).unlink()
    return place.read_bytes()


def lines_of(folder: Path) -> list[str]:
    """What was noted that day so far."""
    try:
        return (folder / VIEWS).read_text(encoding="utf-8", errors="replace").splitlines()
    except FileNotFoundError:
        return []


def throw_away(folder: Path) -> None:
    """The book of a day that is over, with its salt."""
    (folder / SALT).unlink(missing_ok=True)
    shutil.rmtree(folder)


def _append(file: Path, line: str) -> None:
    handle = os.open(file, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    try:
        os.write(handle, line.encode())
    finally:
        os.close(handle)
