"""Make the public prints of an original: AVIF, WebP and JPEG at three widths, upright, sRGB, no metadata."""

import io
import os
import tempfile
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from PIL import Image, ImageCms, ImageOps

from catalog.pictures.intake import open_picture

WIDTHS = (400, 800, 1600)
SUFFIXES = ("avif", "webp", "jpg")
# The detail is for looking closer: one print more, made when somebody does.
DETAIL_WIDTH, DETAIL_HEIGHT = 3200, 6400
DETAIL: dict[str, Any] = {"format": "WEBP", "quality": 82, "method": 2, "exif": b""}
SIDEWAYS = {5, 6, 7, 8}  # the orientations in EXIF that lie on their side

# The whole photograph for one buyer: as large as the original, and nothing of it but the pixels.
WHOLE: dict[str, Any] = {"format": "JPEG", "quality": 90, "exif": b""}

# AVIF at speed 8 keeps one 24-megapixel photograph near a second on two cores. For many at once a third of
# the work is enough, with files a sixth larger.
CAREFUL: dict[str, dict[str, Any]] = {
    "avif": {"format": "AVIF", "quality": 60, "speed": 8, "exif": b""},
    "webp": {"format": "WEBP", "quality": 80, "method": 2, "exif": b""},
    "jpg": {"format": "JPEG", "quality": 82, "progressive": True, "exif": b""},
}
QUICK = {
    "avif": CAREFUL["avif"] | {"speed": 10, "max_threads": 1},
    "webp": CAREFUL["webp"] | {"method": 0},
    "jpg": CAREFUL["jpg"] | {"progressive": False},
}


@dataclass(frozen=True)
class Prints:
    """What was made: the size of the widest print in pixels, and all widths, rising."""

    width: int
    height: int
    widths: list[int]


def print_path(token: str, width: int, suffix: str) -> Path:
    """Where a print lies."""
    return Path(settings.PRINTS_DIR) / token[:2] / f"{token}-{width}.{suffix}"


def detail_path(token: str) -> Path:
    """Where the detail lies."""
    return Path(settings.PRINTS_DIR) / token[:2] / f"{token}-detail.webp"


def whole_path(token: str) -> Path:
    """Where the whole photograph lies, once it was asked for."""
    return Path(settings.PRINTS_DIR) / token[:2] / f"{token}-whole.jpg"


def make_whole(original: Path, token: str) -> None:
    """Decode the original and write it anew at its full size. Raises OSError or ValueError when that cannot be."""
    with open_picture(original) as picture:
        most = max(picture.size)
    _write(encoded(_upright(original, most), WHOLE), whole_path(token))


def has_detail(original: Path) -> bool:
    """Whether an original has more in it than its widest print, as far as its head tells; nothing is decoded."""
    with open_picture(original) as picture:
        lies = picture.getexif().get(0x0112) in SIDEWAYS
        width, height = (picture.height, picture.width) if lies else picture.size
    return _detail_width(width, height) > WIDTHS[-1]


def make_detail(original: Path, token: str) -> None:
    """Decode the original and write the detail. Raises OSError or ValueError when it cannot be decoded."""
    whole = _upright(original, DETAIL_WIDTH)
    _write(encoded(_at_width(whole, _detail_width(*whole.size)), DETAIL), detail_path(token))


def _detail_width(width: int, height: int) -> int:
    """As wide as a detail may be, and never so that it is taller than a detail may be."""
    return min(width, DETAIL_WIDTH, width * DETAIL_HEIGHT // height)


def make_prints(original: Path, token: str, *, many: bool = False) -> Prints:
    """Decode the original once and write every print. Raises OSError or ValueError when it cannot be decoded.

    Each file is written beside its place and moved there, so making them again is harmless. `many`
    trades a little size for speed, when a whole stock is loaded at once.
    """
    largest = _upright(original, WIDTHS[-1])
    widths = sorted({min(width, largest.width) for width in WIDTHS})
    scaled, wider = {}, largest
    for width in reversed(widths):
        scaled[width] = wider = _at_width(wider, width)
    manner = QUICK if many else CAREFUL
    jobs = [(width, suffix) for width in reversed(widths) for suffix in SUFFIXES]
    with ThreadPoolExecutor(max_workers=2) as pool:
        written = pool.map(
            lambda job: _write(encoded(scaled[job[0]], manner[job[1]]), print_path(token, *job)), jobs
        )
        list(written)
    return Prints(largest.width, largest.height, widths)


def plain_prints(original: Path, widths: Sequence[int]) -> dict[int, bytes]:
    """A picture for the desk alone, as WebP at each width or as wide as it is; nothing is written.

    Raises OSError or ValueError when it cannot be decoded.
    """
    scaled = _upright(original, max(widths))
    made = {}
    for width in sorted(widths, reverse=True):
        scaled = _at_width(scaled, min(width, scaled.width))
        made[width] = encoded(scaled, CAREFUL["webp"])
    return made


def write_print(data: bytes, token: str, width: int) -> Path:
    """Put one of them where prints lie."""
    place = print_path(token, width, "webp")
    _write(data, place)
    return place


def _upright(original: Path, most: int) -> Image.Image:
    with open_picture(original) as picture:
        # A JPEG is decoded at the smallest scale that still holds the widest print, upright or not.
        picture.draft("RGB", (most, most))
        picture.load()
        profile = picture.info.get("icc_profile")
        turned = ImageOps.exif_transpose(picture)
    if turned.width > most:
        turned = turned.resize(_fit(turned, most), Image.Resampling.LANCZOS)
    return _bare(_in_srgb(turned, profile))


def _in_srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    if profile and picture.mode in {"RGB", "L", "CMYK"}:
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            changed = ImageCms.profileToProfile(
                picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError):
            changed = None  # a damaged profile is no reason to refuse the photograph
        if changed is not None:
            return changed
    if picture.mode in {"RGBA", "LA", "P", "PA"}:
        solid = Image.new("RGB", picture.size, "white")
        layer = picture.convert("RGBA")
        solid.paste(layer, mask=layer.getchannel("A"))
        return solid
    return picture.convert("RGB")


def _bare(picture: Image.Image) -> Image.Image:
    """The pixels alone: no EXIF, no XMP, no profile, no comment."""
    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    return bare


def _fit(picture: Image.Image, width: int) -> tuple[int, int]:
    return width, max(round(picture.height * width / picture.width), 1)


def _at_width(picture: Image.Image, width: int) -> Image.Image:
    return (
        picture if picture.width == width else picture.resize(_fit(picture, width), Image.Resampling.LANCZOS)
    )


def encoded(picture: Image.Image, manner: dict[str, Any]) -> bytes:
    """One print as bytes, without any metadata, in one of the manners above."""
    out = io.BytesIO()
    picture.save(out, **manner)
    return out.getvalue()


def _write(data: bytes, place: Path) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=place.parent, prefix="making-")
    with os.fdopen(handle, "wb") as file:
        file.write(data)
    Path(name).chmod(0o644)
    Path(name).replace(place)
