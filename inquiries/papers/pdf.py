"""Make the PDF of a receipt from what was frozen when it was issued, once, and keep it."""

import json
from pathlib import Path

from django.conf import settings
from django.utils.text import slugify

from inquiries.papers.models import Receipt
from shop.typesetting import TEMPLATES, fingerprint, pdf, write_once

RECEIPT = TEMPLATES / "receipt.typ"


def receipt_path(receipt: Receipt) -> Path:
    """The file of a receipt's PDF, made when it is not there yet.

    Its name holds the number and a hash of all that goes into it.
    """
    data = json.dumps(receipt.content, sort_keys=True, ensure_ascii=False)
    path: Path = settings.PAPERS_DIR / f"{slugify(receipt.number)}-{fingerprint(RECEIPT, data)}.pdf"
    if not path.exists():
        write_once(path, pdf(RECEIPT, data))
    return path
