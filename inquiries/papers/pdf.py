"""Where the PDF of a receipt lies."""

from pathlib import Path

from django.conf import settings
from django.utils import timezone

from inquiries.papers.filing import file_of
from inquiries.papers.models import Receipt
from shop.typesetting import TEMPLATES

RECEIPT = TEMPLATES / "receipt.typ"


def receipt_path(receipt: Receipt) -> Path:
    """The file of a receipt's PDF, made when it is not there yet."""
    return Path(settings.PAPERS_DIR) / file_of(receipt, at=timezone.now()).name
