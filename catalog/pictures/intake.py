"""Take an original in as it came: check what it is, keep it under its hash, never change it.

Nothing is decoded here beyond the header: the worker does the rest.
"""

import warnings
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO, TypeVar

import pillow_heif
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from PIL import Image, UnidentifiedImageError

from shop import keeping
from shop.keeping import Kept, kept_path
from shop.refusal import Refused

pillow_heif.register_heif_opener()
# Pillow only warns of a picture that unpacks to a hundred megapixels; here that is an error.
warnings.simplefilter("error", Image.DecompressionBombWarning)

FORMATS = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp", "TIFF": "tif", "HEIF": "heic", "AVIF": "avif"}
ENDS = {"JPEG": b"\xff\xd9", "PNG": b"IEND\xaeB`\x82"}
TAIL_BYTES = 1024 * 1024  # phones add a film or a depth map behind the end of a JPEG
SMALLEST = 200

T = TypeVar("T")


def keep(upload: "UploadedFile[bytes]") -> Kept:
    """Check the upload and keep it under its hash. Raises Refused, by the file's own name; keeps nothing then."""
    return keeping.keep(
        upload, Path(settings.ORIGINALS_DIR), most_bytes=settings.MAX_PICTURE_BYTES, check=_checked
    )


def keep_decoded(upload: "UploadedFile[bytes]", decode: Callable[[Path], T]) -> tuple[Kept, T]:
    """Keep the upload as `keep` does, with what `decode` made of it; Refused too when it cannot be decoded."""
    made: list[T] = []

    def checked(file: Path, name: str) -> str:
        suffix = _checked(file, name)
        try:
            made.append(decode(file))
        except (OSError, ValueError, SyntaxError, Warning):
            message = f"{name} is damaged and cannot be shown. Copy it again from where it came."
            raise Refused(message, code="damaged") from None
        return suffix

    most = settings.MAX_PICTURE_BYTES
    kept = keeping.keep(upload, Path(settings.ORIGINALS_DIR), most_bytes=most, check=checked)
    return kept, made[0]


def original_path(sha256: str, suffix: str) -> Path:
    """Where an original lies: never below anything that is served."""
    return kept_path(Path(settings.ORIGINALS_DIR), sha256, suffix)


def open_picture(source: Path | BinaryIO) -> Image.Image:
    """Open a picture without decoding it, one of the accepted formats only.

    Raises UnidentifiedImageError for anything else, and ValueError above the pixel limit.
    """
    picture = Image.open(source, formats=tuple(FORMATS))
    if picture.width * picture.height > settings.MAX_PICTURE_PIXELS:
        raise ValueError("too many pixels")
    return picture


def read_head(file: Path, name: str, *, otherwise: str) -> tuple[str, tuple[int, int]]:
    """Format and size of a picture that is whole as far as its head and its end tell.

    Raises Refused, naming the file; `otherwise` says what is wrong with a file that is no picture at all.
    """
    try:
        with open_picture(file) as picture:
            kind, size = picture.format or "", picture.size
    except (ValueError, Image.DecompressionBombError, Image.DecompressionBombWarning):
        most = settings.MAX_PICTURE_PIXELS // 1_000_000
        raise Refused(f"{name} has more than {most} megapixels. Send a smaller copy.", code="bomb") from None
    except (UnidentifiedImageError, OSError, SyntaxError):
        raise Refused(f"{name} {otherwise}", code="wrong-type") from None
    _check_end(file, kind, name)
    return kind, size


def _checked(file: Path, name: str) -> str:
    kind, size = read_head(
        file,
        name,
        otherwise="is not a photograph that can be read. Send JPEG, PNG, WebP, TIFF, AVIF or HEIC.",
    )
    if min(size) < SMALLEST:
        raise Refused(f"{name} is only {size[0]} × {size[1]} pixels, too small to show.", code="too-small")
    return FORMATS[kind]


def _check_end(file: Path, kind: str, name: str) -> None:
    end = ENDS.get(kind)
    if end is None:
        return
    with file.open("rb") as stream:
        stream.seek(max(file.stat().st_size - TAIL_BYTES, 0))
        if end not in stream.read():
            raise Refused(
                f"{name} is cut short: its end is missing. Copy it again from where it came.",
                code="truncated",
            )
