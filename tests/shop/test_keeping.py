"""What a cut-off upload leaves behind is cleared away, once it is old enough to be nobody's."""

import os
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from shop.keeping import clear_away, kept_path
from shop.management.commands import worker
from tests.factories import NOON


def left(folder: Path, name: str, *, hours: float) -> Path:
    """A file last written to so many hours before noon."""
    file = folder / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(b"half a file")
    at = (NOON - timedelta(hours=hours)).timestamp()
    os.utime(file, (at, at))
    return file


def test_only_what_is_older_than_a_day_and_never_arrived_goes(tmp_path: Path) -> None:
    old = left(tmp_path, "arriving-a1", hours=24.1)
    under_way = left(tmp_path, "arriving-b2", hours=23.9)
    kept = left(tmp_path, f"ab/{'ab' * 32}.pdf", hours=24 * 400)
    assert clear_away(tmp_path, at=NOON) == 1
    assert [file.exists() for file in (old, under_way, kept)] == [False, True, True]
    assert clear_away(tmp_path, at=NOON) == 0


def test_a_folder_that_is_not_there_yet_is_clear(tmp_path: Path) -> None:
    assert clear_away(tmp_path / "received", at=NOON) == 0


def test_the_worker_clears_away_when_it_starts(
    tmp_path: Path, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.ORIGINALS_DIR, settings.RECEIVED_DIR = tmp_path / "originals", tmp_path / "received"
    settings.RECORDINGS_DIR = tmp_path / "recordings"
    monkeypatch.setattr(worker, "work", lambda stop: None)
    monkeypatch.setattr(worker.signal, "signal", lambda *args: None)
    folders = ("originals", "recordings", "received")
    old = [left(tmp_path / folder, "arriving-a1", hours=9000) for folder in folders]
    call_command("worker")
    assert [file.exists() for file in old] == [False, False, False]


def test_a_file_lies_under_its_hash(tmp_path: Path) -> None:
    assert kept_path(tmp_path, "ab12", "pdf") == tmp_path / "ab" / "ab12.pdf"
