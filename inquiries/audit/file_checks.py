"""Kept files: each is there with the bytes that came, and none lies there that nothing points at."""

import hashlib
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

from inquiries.audit.checks import check
from inquiries.audit.kept_files import FOLDERS, Folder
from inquiries.audit.rules import Finding

# An upload is on disk before its row is committed; nothing is under way for as long as that.
ARRIVES_WITHIN = timedelta(hours=1)
FROM_COPY = "Bring it back from a copy of the shop (see “Back it up” in README.md)."


@check("kept files")
def hashes(at: datetime) -> Iterator[Finding]:
    """Every original photograph, recording, paper and mail is there, and its bytes have the hash of its row."""
    for folder in FOLDERS:
        known: dict[Path, str] = {}
        for path, sha256, where in folder.pointed():
            if path not in known:
                known[path] = _hash_of(path)
            if not known[path]:
                yield Finding(where, f"its file is not there ({folder.name}, {path.name}).", FROM_COPY)
            elif known[path] != sha256:
                yield Finding(
                    where, f"its file is no longer as it came ({folder.name}, {path.name}).", FROM_COPY
                )


def _hash_of(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return ""


@check("files that nothing points at")
def strays(at: datetime) -> Iterator[Finding]:
    """No file lies in these folders that no row points at. What came within the last hour may be about to have one."""
    for folder in FOLDERS:
        for path in strays_in(folder, at=at):
            yield Finding(
                f"{folder.name.capitalize()}, {path.name}",
                "no row points at this file.",
                "Look at it; the audit removes such files when it is told to tidy, and names each.",
            )


def strays_in(folder: Folder, *, at: datetime) -> list[Path]:
    """The files of a folder that no row points at, older than an hour."""
    files = sorted(path for path in folder.path().rglob("*") if path.is_file() and is_old(path, at=at))
    pointed: set[Path] = {row.path for row in folder.pointed()}
    also: Callable[[Path], bool] = folder.also()
    return [path for path in files if path not in pointed and not also(path)]


def is_old(path: Path, *, at: datetime) -> bool:
    """Whether a file has lain there for longer than anything takes to arrive."""
    try:
        return path.stat().st_mtime < (at - ARRIVES_WITHIN).timestamp()
    except FileNotFoundError:
        return False
