"""Take an original in as it came: check what it is, keep it under its hash, never change it.

Nothing is decoded here beyond the header: the worker does the rest.
"""

import errno
import hashlib
import os
import tempfile
import warnings
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import pillow_heif
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from PIL import Image, UnidentifiedImageError

from shop.refusal import Refused

pillow_heif.register_heif_opener()
# Pillow only warns of a picture that unpacks to a hundred megapixels; here that is an error.
warnings.simplefilter("error", Image.DecompressionBombWarning)

FORMATS = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp", "TIFF": "tif", "HEIF": "heic", "AVIF": "avif"}
ENDS = {"JPEG": b"\xff\xd9", "PNG": b"IEND\xaeB`\x82"}
TAIL_BYTES = 1024 * 1024  # phones add a film or a depth map behind the end of a JPEG
SMALLEST = 200


@dataclass(frozen=True)
class Original:
    """A kept original: its hash, its ending, its size in bytes."""

    sha256: str
    suffix: str
    bytes: int


def keep(upload: "UploadedFile[bytes]") -> Original:
    """Check the upload and keep it under its hash. Raises Refused, by the file's own name; keeps nothing then."""
    name = upload.name or "the file"
    if (upload.size or 0) > settings.MAX_PICTURE_BYTES:
        most = settings.MAX_PICTURE_BYTES // (1024 * 1024)
        raise Refused(f"{name} is larger than {most} MB. Send a smaller copy.", code="too-large")
    temporary: Path | None = None
    try:
        temporary, sha256, size = _written(upload.chunks())
        suffix = _checked(temporary, name)
        _settle(temporary, original_path(sha256, suffix))
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
    return Original(sha256, suffix, size)


def original_path(sha256: str, suffix: str) -> Path:
    """Where an original lies: never below anything that is served."""
    return Path(settings.ORIGINALS_DIR) / sha256[:2] / f"{sha256}.{suffix}"


def open_picture(source: Path | BinaryIO) -> Image.Image:
    """Open a picture without decoding it, one of the accepted formats only.

    Raises UnidentifiedImageError for anything else, and ValueError above the pixel limit.
    """
    picture = Image.open(source, formats=tuple(FORMATS))
    if picture.width * picture.height > settings.MAX_PICTURE_PIXELS:
        raise ValueError("too many pixels")
    return picture


def _written(chunks: Iterable[bytes]) -> tuple[Path, str, int]:
    folder = Path(settings.ORIGINALS_DIR)
    folder.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=folder, prefix="arriving-")
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


def _checked(file: Path, name: str) -> str:
    try:
        with open_picture(file) as picture:
            kind, size = picture.format or "", picture.size
    except (ValueError, Image.DecompressionBombError, Image.DecompressionBombWarning):
        most = settings.MAX_PICTURE_PIXELS // 1_000_000
        raise Refused(f"{name} has more than {most} megapixels. Send a smaller copy.", code="bomb") from None
    except (UnidentifiedImageError, OSError, SyntaxError):
        raise Refused(
            f"{name} is not a photograph that can be read. Send JPEG, PNG, WebP, TIFF, AVIF or HEIC.",
            code="wrong-type",
        ) from None
    if min(size) < SMALLEST:
        raise Refused(f"{name} is only {size[0]} × {size[1]} pixels, too small to show.", code="too-small")
    _check_end(file, kind, name)
    return FORMATS[kind]


def _check_end(file: Path, kind: str, name: str) -> None:
    end = ENDS.get(kind)
    if end is None:
        return
    with file.open("rb") as stream:
        stream.seek(max(file.stat().st_size - TAIL_BYTES, 0))
        if end not in stream.read():
            raise Refused(
                f"{name} is cut short: its end is missing. Copy it from the camera again.", code="truncated"
            )
