"""Typeset a paper as PDF, tagged for screen readers, and keep what was made."""

import hashlib
import os
import tempfile
from importlib.metadata import version
from pathlib import Path
from typing import Any

import typst
from django.conf import settings

TEMPLATES = settings.BASE_DIR / "templates" / "papers"


def pdf(template: Path, data: str, *, pictures: Path = TEMPLATES) -> bytes:
    """Typeset `template` with `data` (JSON) as its only input: tagged for screen readers, the same bytes every time.

    A picture is named by its path below `pictures`; no other file can be read. Raises typst.TypstError when a
    picture has no words for who cannot see it.
    """
    made = typst.compile(
        template.read_bytes(), format="pdf", pdf_standards=["ua-1"], **_inputs(data, pictures)
    )
    return bytes(made)


def page_count(template: Path, data: str, *, pictures: Path = TEMPLATES) -> int:
    """How many pages `pdf` would give; the template tells it in metadata labelled <pages>."""
    told = typst.query(template.read_bytes(), "<pages>", field="value", one=True, **_inputs(data, pictures))
    return int(told)


def _inputs(data: str, pictures: Path) -> dict[str, Any]:
    return {"root": str(pictures), "sys_inputs": {"data": data}, "ignore_system_fonts": True}


def fingerprint(template: Path, data: str) -> str:
    """A hash of all that goes into a paper, so that a file named by it never stands for other words."""
    whole = data.encode() + template.read_bytes() + version("typst").encode()
    return hashlib.sha256(whole).hexdigest()[:16]


def write_once(path: Path, made: bytes) -> None:
    """Write beside, then move into place: a reader finds the whole file or none."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, beside = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(made)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).replace(path)
    finally:
        Path(beside).unlink(missing_ok=True)
