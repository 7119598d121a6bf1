"""A maildir on this machine: each message a file, in `new` until it is safe here, then in `cur`.

A mail program that reads the same maildir moves messages to `cur` too, perhaps before we have looked: so what came
there lately is looked at as well. What is here already is known by its key.
"""

import os
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings

from inquiries.mail.actions import take_in
from inquiries.mail.models import MailFolder

Clock = Callable[[], datetime]
HEADINGS_BYTES = 200_000
LATELY = timedelta(hours=1)
_known: set[Path] = set()  # files in `cur` that this process has looked at: it saves reading them again


def folder_name() -> str:
    """The maildir, for the eye."""
    return f"The maildir {settings.INBOX_MAILDIR}"[-255:]


def look(*, clock: Clock) -> int:
    """Take in what is new; how many messages were looked at. Raises OSError, also where there is no maildir."""
    home = Path(settings.INBOX_MAILDIR)
    folder, _ = MailFolder.objects.get_or_create(name=folder_name())
    files = [*_in_order(home / "new"), *_moved_by_others(home / "cur", folder.looked_at)]
    for file in files:
        try:
            _one(file, home, clock=clock)
        except FileNotFoundError:  # moved by somebody else meanwhile: it is in `cur` at the next look
            continue
    MailFolder.objects.filter(pk=folder.pk).update(looked_at=clock(), trouble="")
    return len(files)


def _in_order(folder: Path) -> list[Path]:
    return sorted((file for file in folder.iterdir() if _is_message(file)), key=lambda file: file.name)


def _is_message(file: Path) -> bool:
    return not file.name.startswith(".") and file.is_file()


def _moved_by_others(folder: Path, looked_at: datetime | None) -> Iterator[Path]:
    if looked_at is None:  # what was read before the first look was answered elsewhere
        return
    since = (looked_at - LATELY).timestamp()
    for file in _in_order(folder):
        if _in_cur(file) not in _known and file.stat().st_mtime >= since:
            yield file


def _one(file: Path, home: Path, *, clock: Clock) -> None:
    if (size := file.stat().st_size) > settings.MAX_MAIL_BYTES:
        with file.open("rb") as stream:
            start = stream.read(HEADINGS_BYTES).replace(b"\r\n", b"\n")
        take_in(start.partition(b"\n\n")[0] + b"\n\n", at=clock(), left_behind=size)
        return
    take_in(file.read_bytes(), at=clock())
    _known.add(_in_cur(file))
    if file.parent.name == "new":
        _move(file, home / "cur")


def _unique(file: Path) -> str:
    """The name without the flags that programs write behind it."""
    return file.name.partition(":")[0]


def _in_cur(file: Path) -> Path:
    """The file without its flags, where it is once it was looked at."""
    return file.parent.parent / "cur" / _unique(file)


def _move(file: Path, cur: Path) -> None:
    """It is safe here, and nobody has opened it in a mail program: to `cur`, seen."""
    file.rename(cur / f"{_unique(file)}:2,S")
    for folder in (cur, file.parent):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def spoken(problem: OSError) -> str:
    """What is wrong with the maildir, in a sentence."""
    if isinstance(problem, FileNotFoundError):
        return f"There is no maildir at {settings.INBOX_MAILDIR}: it needs the folders new, cur and tmp."[
            :300
        ]
    return f"The maildir {settings.INBOX_MAILDIR} cannot be read: {problem.strerror or problem}."[:300]
