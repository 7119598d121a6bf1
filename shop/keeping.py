"""Keep what is sent in: written beside its place, checked there, then moved under its hash in one step."""

import errno
import hashlib
import os
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.core.files.uploadedfile import UploadedFile

from shop.refusal import Refused

ARRIVING = "arriving-"
LEFT_BEHIND = timedelta(days=1)  # nothing is under way for as long as that
MEGABYTE = 1024 * 1024

# Says what the file really is, as the ending it is kept under; raises Refused, naming the file, when it is no good.
Check = Callable[[Path, str], str]


@dataclass(frozen=True)
class Kept:
    """A kept file: its hash, its ending, its size in bytes."""

    sha256: str
    suffix: str
    bytes: int


def keep(upload: "UploadedFile[bytes]", folder: Path, *, most_bytes: int, check: Check) -> Kept:
    """Keep the upload below `folder`, as received. Raises Refused, by the file's own name; keeps nothing then."""
    name = upload.name or "the file"
    if (upload.size or 0) > most_bytes:
        raise Refused(
            f"{name} is larger than {most_bytes // MEGABYTE} MB. Send a smaller copy.", code="too-large"
        )
    temporary: Path | None = None
    try:
        temporary, sha256, size = _written(upload.chunks(), folder)
        suffix = check(temporary, name)
        _settle(temporary, kept_path(folder, sha256, suffix))
    except OSError as error:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
        if error.errno not in {errno.ENOSPC, errno.EDQUOT}:
            raise
        raise Refused(
            f"{name} was not kept: the disk is full. Make room, then send it again.", code="disk-full"
        ) from error
    except Refused:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
        raise
    return Kept(sha256, suffix, size)


def keep_bytes(data: bytes, folder: Path, suffix: str) -> Kept:
    """Keep bytes that are taken as they come below `folder`; on disk when this returns. Raises OSError."""
    place = kept_path(folder, hashlib.sha256(data).hexdigest(), suffix)
    if not _touched(place):
        temporary, _, _ = _written([data], Path(folder))
        _settle(temporary, place)
    return Kept(place.stem, suffix, len(data))


def _touched(place: Path) -> bool:
    """Whether the file is there; then it counts as having come now, so that nobody tidies it away before its row."""
    try:
        os.utime(place)
    except FileNotFoundError:
        return False
    return True


def kept_path(folder: Path, sha256: str, suffix: str) -> Path:
    """Where a file of that hash lies below `folder`."""
    return Path(folder) / sha256[:2] / f"{sha256}.{suffix}"


def clear_away(folder: Path, *, at: datetime) -> int:
    """Remove what uploads that were cut off left behind in `folder` more than a day before `at`; how many."""
    cleared = 0
    for file in Path(folder).glob(f"{ARRIVING}*"):
        try:
            if file.stat().st_mtime < (at - LEFT_BEHIND).timestamp():
                file.unlink()
                cleared += 1
        except FileNotFoundError:  # another worker was quicker, or the upload has just arrived
            continue
    return cleared


def _written(chunks: Iterable[bytes], folder: Path) -> tuple[Path, str, int]:
    folder.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=folder, prefix=ARRIVING)
    digest, size = hashlib.sha256(), 0
    try:
        with os.fdopen(handle, "wb") as file:
            for chunk in chunks:
                file.write(chunk)
                digest.update(chunk)
                size += len(chunk)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name), digest.hexdigest(), size


def _settle(temporary: Path, place: Path) -> None:
    """Move the file to its place in one step; a copy that is there already is the same file."""
    place.parent.mkdir(exist_ok=True)
    temporary.chmod(0o600)
    temporary.replace(place)
    folder = os.open(place.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
