"""Photographs from a camera: what is taken in, what is refused by name, what the public gets."""

import errno
import hashlib
import io
import os
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pillow_heif
import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import ExifTags, Image, ImageCms, PngImagePlugin

from catalog.models import Instrument, Photograph
from catalog.pictures.actions import receive_photograph, remove
from catalog.pictures.intake import original_path
from catalog.pictures.prints import SUFFIXES, print_path
from shop.jobs.worker import drain
from shop.models import User
from shop.refusal import Refused
from tests.factories import NOON, InstrumentFactory

pytestmark = pytest.mark.django_db

RED, BLUE = (200, 30, 30), (30, 30, 200)
# Exif orientation 6: the camera was turned, so the picture is to be turned clockwise by a quarter.
# Exif 2.32 (CIPA DC-008), tag 0x0112.
TURN_CLOCKWISE = 6


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    settings.ORIGINALS_DIR = tmp_path / "originals"
    settings.PRINTS_DIR = tmp_path / "prints"


def halves(size: tuple[int, int] = (1800, 1200)) -> Image.Image:
    """Left half red, right half blue."""
    picture = Image.new("RGB", size, RED)
    picture.paste(BLUE, (size[0] // 2, 0, size[0], size[1]))
    return picture


def secrets_in_exif() -> Image.Exif:
    """Orientation, a place, a camera's serial number, an owner's name."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = TURN_CLOCKWISE
    exif[ExifTags.Base.Artist] = "SECRET-OWNER"
    exif[ExifTags.Base.Make] = "SECRET-CAMERA"
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.BodySerialNumber] = "SECRET-SERIAL"
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef] = "N"
    place[ExifTags.GPS.GPSLatitude] = (41.0, 24.0, 12.2)
    place[ExifTags.GPS.GPSMapDatum] = "SECRET-PLACE"
    return exif


def jpeg(picture: Image.Image | None = None, **more: Any) -> bytes:
    out = io.BytesIO()
    (picture or halves()).save(out, "JPEG", quality=90, **more)
    return out.getvalue()


def camera_jpeg() -> bytes:
    """A JPEG with everything a camera and a retoucher leave in it."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return jpeg(
        exif=secrets_in_exif(),
        icc_profile=profile,
        comment=b"SECRET-COMMENT",
        xmp=b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>SECRET-XMP</x:xmpmeta>",
    )


def receive(instrument: Instrument, name: str, content: bytes) -> Photograph:
    return receive_photograph(instrument, SimpleUploadedFile(name, content), by=None, at=NOON)


def kept_files() -> list[str]:
    return sorted(path.name for path in Path(settings.ORIGINALS_DIR).rglob("*") if path.is_file())


def prints_of(photograph: Photograph) -> dict[tuple[int, str], Path]:
    return {
        (width, suffix): print_path(photograph.token, width, suffix)
        for width in photograph.widths
        for suffix in SUFFIXES
    }


def prepared(name: str, content: bytes) -> Photograph:
    photograph = receive(InstrumentFactory(listed=True), name, content)
    drain()
    photograph.refresh_from_db()
    return photograph


def test_the_made_file_really_carries_its_secrets() -> None:
    content = camera_jpeg()
    for secret in (b"OWNER", b"CAMERA", b"SERIAL", b"PLACE", b"COMMENT", b"XMP"):
        assert b"SECRET-" + secret in content
    with Image.open(io.BytesIO(content)) as picture:
        assert picture.getexif()[ExifTags.Base.Orientation] == TURN_CLOCKWISE
        assert picture.getexif().get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitudeRef] == "N"
        assert picture.info["icc_profile"]


def test_prints_are_upright_in_every_form_and_width() -> None:
    photograph = prepared("IMG_0001.JPG", camera_jpeg())
    assert photograph.state == "ready"
    # 1800 × 1200 turned is 1200 × 1800, so the widest print is as wide as that.
    assert (photograph.width, photograph.height, photograph.widths) == (1200, 1800, [400, 800, 1200])
    for (width, _), path in prints_of(photograph).items():
        with Image.open(path) as picture:
            assert picture.size == (width, round(width * 1.5))
            # Turned clockwise, the left half is on top.
            top = picture.convert("RGB").getpixel((width // 2, width // 4))
            bottom = picture.convert("RGB").getpixel((width // 2, width * 5 // 4))
        assert max(abs(a - b) for a, b in zip(top, RED, strict=True)) < 25
        assert max(abs(a - b) for a, b in zip(bottom, BLUE, strict=True)) < 25


def test_no_print_carries_anything_but_pixels() -> None:
    photograph = prepared("IMG_0001.JPG", camera_jpeg())
    for path in prints_of(photograph).values():
        content = path.read_bytes()
        for trace in (b"SECRET", b"Exif\x00", b"xmpmeta", b"GPS", b"mntrRGB"):
            assert trace not in content, (path.name, trace)
        with Image.open(io.BytesIO(content)) as picture:
            assert not picture.getexif()
            assert not {"exif", "xmp", "icc_profile", "comment", "photoshop"} & set(picture.info)


def test_a_wide_colour_profile_is_computed_into_the_pixels() -> None:
    # A profile whose red and green are exchanged would show at once if it were dropped unread.
    wide = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    photograph = prepared("damaged-profile.jpg", jpeg(icc_profile=wide))
    assert photograph.state == "ready"


def test_the_original_is_kept_byte_for_byte_and_nobody_is_served_it(client: Client, owner: User) -> None:
    content = camera_jpeg()
    photograph = prepared("IMG_0001.JPG", content)
    original = original_path(photograph.sha256, photograph.suffix)
    assert photograph.sha256 == hashlib.sha256(content).hexdigest()
    assert original.read_bytes() == content
    assert original.stat().st_mode & 0o077 == 0
    client.force_login(owner)
    for token in (photograph.sha256, photograph.token):
        for suffix in ("jpg", "original", photograph.suffix):
            answer = client.get(f"/pictures/{token}/{photograph.width}.{suffix}")
            served = b"".join(answer.streaming_content) if answer.streaming else answer.content
            assert served != content
            assert b"SECRET" not in served
    for path in (
        f"/pictures/../originals/{original.name}",
        f"/originals/{photograph.sha256[:2]}/{original.name}",
        f"/static/../originals/{original.name}",
        f"/media/{original.name}",
    ):
        assert client.get(path).status_code == 404


def test_a_print_is_for_everybody_once_listed_and_for_the_desk_before(client: Client, owner: User) -> None:
    photograph = prepared("IMG_0001.JPG", camera_jpeg())
    path = reverse("picture", args=[photograph.token, 400, "avif"])
    public = client.get(path)
    assert (public.status_code, public["Content-Type"]) == (200, "image/avif")
    b"".join(public.streaming_content)
    Instrument.objects.update(state="draft")
    assert client.get(path).status_code == 404
    client.force_login(owner)
    private = client.get(path)
    assert (private.status_code, private["Cache-Control"]) == (200, "private, no-store")
    b"".join(private.streaming_content)


def heic(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    pillow_heif.from_pillow(picture).save(out, quality=80)
    return out.getvalue()


def saved_as(form: str) -> bytes:
    out = io.BytesIO()
    halves((640, 480)).save(out, form)
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "make"),
    [
        ("IMG_7.HEIC", lambda: heic(halves((640, 480)))),
        ("scan.tif", lambda: saved_as("TIFF")),
        ("screen.png", lambda: saved_as("PNG")),
        ("web.webp", lambda: saved_as("WEBP")),
        ("phone.avif", lambda: saved_as("AVIF")),
    ],
)
def test_every_accepted_form_becomes_prints(name: str, make: Callable[[], bytes]) -> None:
    photograph = prepared(name, make())
    assert (photograph.state, photograph.widths) == ("ready", [400, 640])
    for path in prints_of(photograph).values():
        with Image.open(path) as picture:
            left = picture.convert("RGB").getpixel((picture.width // 4, picture.height // 2))
        assert max(abs(a - b) for a, b in zip(left, RED, strict=True)) < 25


def bomb() -> bytes:
    """A PNG of a few bytes that says it unpacks to 20,000 × 20,000 pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", 20_000, 20_000, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b"\0" * 10_000))
        + chunk(b"IEND", b"")
    )


BAD = [
    ("cut.jpg", lambda: camera_jpeg()[:-2000], "truncated", "cut short"),
    ("cut.png", lambda: saved_as("PNG")[:-20], "truncated", "cut short"),
    ("bomb.png", bomb, "bomb", "megapixels"),
    ("holiday.jpg", lambda: b"#!/bin/sh\nrm -rf /\n", "wrong-type", "not a photograph"),
    (
        "page.jpg",
        lambda: b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
        "wrong-type",
        "not a",
    ),
    ("moving.gif", lambda: saved_as("GIF"), "wrong-type", "not a photograph"),
    ("empty.jpg", lambda: b"", "wrong-type", "not a photograph"),
    ("stamp.jpg", lambda: jpeg(halves((100, 100))), "too-small", "too small"),
]


@pytest.mark.parametrize(("name", "make", "code", "says"), BAD)
def test_what_is_no_photograph_is_refused_by_name_and_leaves_nothing(
    name: str, make: Callable[[], bytes], code: str, says: str
) -> None:
    with pytest.raises(Refused) as refused:
        receive(InstrumentFactory(), name, make())
    assert refused.value.code == code
    assert refused.value.message.startswith(name)
    assert says in refused.value.message
    assert kept_files() == []
    assert not Photograph.objects.exists()


def test_a_file_above_the_limit_is_refused(settings: Any) -> None:
    settings.MAX_PICTURE_BYTES = 1024 * 1024
    with pytest.raises(Refused, match=r"^big\.jpg is larger than 1 MB"):
        receive(InstrumentFactory(), "big.jpg", b"\xff" * (1024 * 1024 + 1))
    assert kept_files() == []


def test_the_same_file_twice_is_refused_on_one_record_and_taken_on_another() -> None:
    content, instrument = jpeg(), InstrumentFactory()
    receive(instrument, "front.jpg", content)
    with pytest.raises(Refused, match=r"^again\.jpg is here already, as front\.jpg\.$"):
        receive(instrument, "again.jpg", content)
    assert instrument.photographs.count() == 1
    receive(InstrumentFactory(), "front.jpg", content)
    assert len(kept_files()) == 1


def full_disk(*args: Any, **kwargs: Any) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize("where", ["fsync", "replace"])
def test_a_full_disk_is_said_by_name_and_leaves_nothing(where: str, monkeypatch: pytest.MonkeyPatch) -> None:
    target = "os.fsync" if where == "fsync" else "pathlib.Path.replace"
    instrument = InstrumentFactory()
    with monkeypatch.context() as patched:
        patched.setattr(target, full_disk)
        with pytest.raises(Refused, match=r"^front\.jpg was not kept: the disk is full") as refused:
            receive(instrument, "front.jpg", jpeg())
    assert refused.value.code == "disk-full"
    assert kept_files() == []
    assert not Photograph.objects.exists()


def test_a_disk_that_fails_otherwise_is_no_quiet_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*args: Any) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", broken)
        with pytest.raises(OSError, match="Input/output error"):
            receive(InstrumentFactory(), "front.jpg", jpeg())
    assert kept_files() == []


def test_damage_that_only_decoding_shows_is_refused_by_the_worker() -> None:
    content = bytearray(saved_as("PNG"))
    middle = len(content) // 2
    content[middle : middle + 40] = b"\x00" * 40
    photograph = prepared("scratched.png", bytes(content))
    assert photograph.state == "refused"
    assert photograph.refusal.startswith("scratched.png is damaged")
    assert not list(Path(settings.PRINTS_DIR).rglob("*.jpg"))


def test_a_png_with_words_in_it_loses_them() -> None:
    words = PngImagePlugin.PngInfo()
    words.add_text("Author", "SECRET-OWNER")
    out = io.BytesIO()
    halves((640, 480)).save(out, "PNG", pnginfo=words)
    photograph = prepared("words.png", out.getvalue())
    assert all(b"SECRET" not in path.read_bytes() for path in prints_of(photograph).values())


def test_the_first_photograph_leads_and_the_next_leads_when_it_goes(owner: User) -> None:
    instrument = InstrumentFactory()
    first = receive(instrument, "a.jpg", jpeg(halves((640, 480))))
    second = receive(instrument, "b.jpg", jpeg(halves((480, 640))))
    assert [photograph.lead for photograph in (first, second)] == [True, False]
    remove(first, by=owner, at=NOON)
    second.refresh_from_db()
    assert second.lead
    assert original_path(first.sha256, first.suffix).exists()


def test_transparency_falls_on_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (400, 400), (0, 0, 0, 0)).save(out, "PNG")
    photograph = prepared("clear.png", out.getvalue())
    with Image.open(print_path(photograph.token, 400, "jpg")) as picture:
        assert min(picture.convert("RGB").getpixel((200, 200))) > 250
