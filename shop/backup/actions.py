"""A copy of everything that cannot be made again: the database, original photographs, recordings, papers, mail."""

import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from django.conf import settings
from django.db import connection

from shop.keeping import ARRIVING
from shop.refusal import Refused


def back_up(target: Path) -> Iterator[str]:
    """Copy into `target` (made when missing), saying after each part what was done.

    The site may go on running: the database is copied as it stands at one instant, and a file that is kept
    never changes. Files that are there already are not copied again. Prints, and the copies of recordings
    that are played, are left out: they are made anew from the originals.
    """
    target.mkdir(parents=True, exist_ok=True)
    yield f"Database: {_database(target)}"
    kept = (
        settings.ORIGINALS_DIR,
        settings.RECORDINGS_DIR,
        settings.RECEIVED_DIR,
        settings.MAIL_DIR,
        settings.PAPERS_DIR,
    )
    for folder in map(Path, kept):
        yield f"{folder.name.capitalize()}: {_files(folder, target / folder.name)} new files"


def _database(target: Path) -> Path:
    if connection.vendor == "sqlite":
        return _sqlite(target / "shop.sqlite3")
    return _postgres(target / "shop.pgdump")


def _sqlite(place: Path) -> Path:
    unfinished = place.with_suffix(".unfinished")
    unfinished.unlink(missing_ok=True)
    connection.ensure_connection()
    with closing(sqlite3.connect(unfinished)) as copy:
        connection.connection.backup(copy)
    unfinished.replace(place)
    return place


def _postgres(place: Path) -> Path:
    program = shutil.which("pg_dump")
    if program is None:
        raise Refused("pg_dump is not installed here, so the database cannot be copied.", code="no-pg-dump")
    unfinished = place.with_suffix(".unfinished")
    command = [program, "--format=custom", f"--file={unfinished}", settings.DATABASE_URL]
    subprocess.run(command, check=True)  # noqa: S603
    unfinished.replace(place)
    return place


def _files(source: Path, target: Path) -> int:
    copied = 0
    for file in source.rglob("*"):
        place = target / file.relative_to(source)
        if file.is_file() and not place.exists() and not file.name.startswith(ARRIVING):
            place.parent.mkdir(parents=True, exist_ok=True)
            unfinished = place.with_name(f"{place.name}.unfinished")
            shutil.copy2(file, unfinished)
            unfinished.replace(place)
            copied += 1
    return copied
