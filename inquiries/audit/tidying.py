"""Remove files that nothing points at. Whoever wants the same bytes at that moment has them all the same."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from inquiries.audit.file_checks import is_old, strays_in
from inquiries.audit.kept_files import FOLDERS
from shop.keeping import ARRIVING

TIDIED = f"{ARRIVING}tidied-"


def tidy(*, at: datetime) -> Iterator[str]:
    """Remove each file that no row points at and that is older than an hour; its name, once it is gone."""
    for folder in FOLDERS:
        for path in strays_in(folder, at=at):
            if _removed(path, at=at):
                yield f"{folder.name}: {path.name}"


def _removed(path: Path, *, at: datetime) -> bool:
    """Take the file out of its place first: who keeps the same bytes now finds it gone and writes them anew.

    Who found it there just before has touched it (shop/keeping.py), and then it goes back.
    """
    aside = path.with_name(f"{TIDIED}{path.name}")
    try:
        path.replace(aside)
    except FileNotFoundError:
        return False
    if not is_old(aside, at=at):
        aside.replace(path)
        return False
    aside.unlink()
    return True
