"""Draw the invented instruments' photographs and make their prints, on every core."""

import multiprocessing
import os
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from typing import Any

import django
from django.core.files.uploadedfile import SimpleUploadedFile

from catalog.pictures.intake import keep, original_path
from catalog.pictures.prints import Prints, make_prints
from demo_fixtures.draw import plate_from, render
from shop.keeping import Kept


@dataclass(frozen=True)
class Wanted:
    """One photograph to draw: whose, which view, and the token its prints go under."""

    stock: int
    plate: dict[str, Any]
    view: str
    token: str


@dataclass(frozen=True)
class Drawn:
    """A photograph with its prints, both on disk."""

    token: str
    original: Kept
    prints: Prints


VARIANTS = {
    "banjo": {"five-string": "five-string", "plectrum": "plectrum", "banjolele": "banjolele"},
    "flat-top": {"twelve-string": "twelve-string", "tenor": "tenor", "six-string": "six-string"},
    "archtop": {"round-hole-six": "round-hole", "f-hole-tenor": "f-hole-tenor"},
    "mandolin": {"mandola": "mandola", "mandocello": "mandocello"},
    "ukulele": {"soprano": "soprano", "taropatch": "taropatch", "tenor": "tenor", "baritone": "baritone"},
}
USUAL = {
    "banjo": "tenor",
    "flat-top": "six-string",
    "archtop": "f-hole",
    "mandolin": "mandolin",
    "ukulele": "concert",
}
BODIES = {"scroll": "carved-scroll", "bowl": "bowl"}
PEGHEADS = {"a": "crown", "b": "wave", "c": "slope", "d": "moth", "e": "shoulders", "f": "lyre"}


def plate_of(row: dict[str, Any]) -> dict[str, Any]:
    """What the draughtsman needs of an instrument in the fixtures; the strings follow its configuration."""
    plate, kind = dict(row["plate"]), row["kind"]
    body = BODIES.get(plate["variant"], "carved-pear") if kind == "mandolin" else ""
    variant = VARIANTS[kind].get(row.get("configuration_now") or "", USUAL[kind])
    return plate | {"variant": variant, "body": body, "peghead": PEGHEADS[plate["peghead"]]}


def draw_all(wanted: list[Wanted]) -> Iterator[Drawn]:
    """Draw each photograph, keep it as an original, and make its prints; in the order asked for."""
    processes = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(os.cpu_count(), mp_context=processes, initializer=django.setup) as pool:
        yield from pool.map(_draw, wanted, chunksize=4)


def _draw(wanted: Wanted) -> Drawn:
    picture = render(plate_from(wanted.plate), wanted.view)
    upload = SimpleUploadedFile(f"{wanted.stock}-{wanted.view}.jpg", picture, "image/jpeg")
    original = keep(upload)
    place = original_path(original.sha256, original.suffix)
    return Drawn(wanted.token, original, make_prints(place, wanted.token, many=True))
