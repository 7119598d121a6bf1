"""Take a scan or a photograph of a paper in as it came: known by its content, kept under its hash, never changed."""

from pathlib import Path

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile

from catalog.pictures.intake import FORMATS, read_head
from shop import keeping
from shop.keeping import Kept, kept_path
from shop.refusal import Refused

# Adobe, PDF Reference 1.7 (November 2006), appendix H, notes 13 and 18: readers look for the head within the first,
# and for the end within the last, 1024 bytes.
PDF_HEAD, PDF_END, PDF_REACH = b"%PDF-", b"%%EOF", 1024
UNREADABLE = "is no paper that can be read. Send PDF, JPEG, PNG, WebP, TIFF, AVIF or HEIC."
TYPES = {
    "pdf": "application/pdf",
    "jpg": "image/jpeg",
    "png": "image/png",
    "webp": "image/webp",
    "tif": "image/tiff",
    "heic": "image/heic",
    "avif": "image/avif",
}


def keep_paper(upload: "UploadedFile[bytes]") -> Kept:
    """Check the upload and keep it under its hash. Raises Refused, by the file's own name; keeps nothing then."""
    return keeping.keep(
        upload, Path(settings.RECEIVED_DIR), most_bytes=settings.MAX_PAPER_BYTES, check=_checked
    )


def received_path(sha256: str, suffix: str) -> Path:
    """Where the file of a paper lies: never below anything that is served."""
    return kept_path(Path(settings.RECEIVED_DIR), sha256, suffix)


def _checked(file: Path, name: str) -> str:
    if not _is_pdf(file, name):
        kind, _ = read_head(file, name, otherwise=UNREADABLE)
        return FORMATS[kind]
    return "pdf"


def _is_pdf(file: Path, name: str) -> bool:
    with file.open("rb") as stream:
        if PDF_HEAD not in stream.read(PDF_REACH):
            return False
        stream.seek(max(file.stat().st_size - PDF_REACH, 0))
        if PDF_END not in stream.read():
            raise Refused(
                f"{name} is cut short: its end is missing. Copy it again from where it came.",
                code="truncated",
            )
    return True
