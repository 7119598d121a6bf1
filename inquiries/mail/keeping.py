"""Where mail is kept: each message and each file that came with one, as received, under its hash; never served."""

from pathlib import Path

from django.conf import settings

from shop.keeping import Kept, keep_bytes, kept_path

MESSAGE, FILE = "eml", "part"


def keep_message(raw: bytes) -> Kept:
    """Keep a message as received; it is on disk when this returns. Raises OSError."""
    return keep_bytes(raw, Path(settings.MAIL_DIR), MESSAGE)


def keep_file(data: bytes) -> Kept:
    """Keep a file that came with one; it is on disk when this returns. Raises OSError."""
    return keep_bytes(data, Path(settings.MAIL_DIR), FILE)


def message_path(sha256: str) -> Path:
    """Where a message lies."""
    return kept_path(Path(settings.MAIL_DIR), sha256, MESSAGE)


def file_path(sha256: str) -> Path:
    """Where a file that came with one lies."""
    return kept_path(Path(settings.MAIL_DIR), sha256, FILE)
