"""Draw the invented instruments' photographs and make their prints, on every core."""

import multiprocessing
import os
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from typing import Any

import django
from django.core.files.uploadedfile import SimpleUploadedFile

from catalog.pictures.intake import Original, keep, original_path
from catalog.pictures.prints import Prints, make_prints
from demo_fixtures.draw import plate_from, render


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
    original: Original
    prints: Prints


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
