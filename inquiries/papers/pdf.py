"""Make the PDF of a paper from what was frozen when it was issued, once, and keep it."""

import hashlib
import json
import os
import tempfile
from importlib.metadata import version
from pathlib import Path

import typst
from django.conf import settings
from django.utils.text import slugify

from inquiries.papers.models import Receipt

TEMPLATES = settings.BASE_DIR / "templates" / "papers"
RECEIPT = TEMPLATES / "receipt.typ"


def receipt_path(receipt: Receipt) -> Path:
    """The file of a receipt's PDF, made when it is not there yet.

    Its name holds the number and a hash of all that goes into it, so a file never stands for other words.
    """
    data = _data(receipt)
    digest = hashlib.sha256(data.encode() + RECEIPT.read_bytes() + version("typst").encode()).hexdigest()
    path: Path = settings.PAPERS_DIR / f"{slugify(receipt.number)}-{digest[:16]}.pdf"
    if not path.exists():
        _write_once(path, pdf(RECEIPT, data))
    return path


def pdf(template: Path, data: str) -> bytes:
    """Typeset `template` with `data` (JSON) as its only input: tagged for screen readers, the same bytes every time."""
    made = typst.compile(
        str(template),
        root=str(TEMPLATES),
        format="pdf",
        sys_inputs={"data": data},
        ignore_system_fonts=True,
        pdf_standards=["ua-1"],
    )
    return bytes(made)


def _data(receipt: Receipt) -> str:
    return json.dumps(receipt.content, sort_keys=True, ensure_ascii=False)


def _write_once(path: Path, made: bytes) -> None:
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
