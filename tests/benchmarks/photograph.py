"""One 24-megapixel photograph to all its prints, against the bare recipe of the trial and one plain decode.

The trial took 1.05 s on its two cores, when the design was made: decoded at the smallest scale, three widths, three
formats, two threads, nothing else. What it takes here and now is measured in the same run, so the ratio says what
care costs (upright, sRGB, no metadata, files moved to their place), whatever the machine.

.venv/bin/python -m tests.benchmarks.photograph
"""

import io
import statistics
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from tests.support import environment

environment.prepare()

from PIL import Image  # noqa: E402 - the environment comes first

from catalog.pictures.prints import make_prints  # noqa: E402

ROUNDS = 5
TRIAL_SECONDS = 1.05
TRIAL: tuple[dict[str, Any], ...] = (
    {"format": "AVIF", "quality": 55, "speed": 8},
    {"format": "WEBP", "quality": 78},
    {"format": "JPEG", "quality": 80, "progressive": True},
)


def median_seconds(work: Callable[[], object]) -> float:
    """The median wall time of `work` over some rounds, after one that does not count."""
    work()
    times = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return statistics.median(times)


def trial(original: Path) -> None:
    """The recipe of the trial, bare."""
    with Image.open(original) as picture:
        picture.draft("RGB", (1600, 1600))
        picture.load()
        wider = picture.convert("RGB")
    scaled = []
    for width in (1600, 800, 400):
        height = round(wider.height * width / wider.width)
        wider = wider.resize((width, height), Image.Resampling.LANCZOS)
        scaled.append(wider)
    with ThreadPoolExecutor(max_workers=2) as pool:
        jobs = [(picture, manner) for picture in scaled for manner in TRIAL]
        list(pool.map(lambda job: job[0].save(io.BytesIO(), **job[1]), jobs))


def main() -> None:
    """Print the seconds and the ratio."""
    with tempfile.TemporaryDirectory() as folder:
        original = Path(folder) / "large.jpg"
        small = Image.effect_noise((1500, 1000), 40).convert("RGB")
        small.resize((6000, 4000), Image.Resampling.BICUBIC).save(original, "JPEG", quality=92)
        plain = median_seconds(lambda: Image.open(original).load())
        bare = median_seconds(lambda: trial(original))
        careful = median_seconds(lambda: make_prints(original, "a" * 32))
        quick = median_seconds(lambda: make_prints(original, "b" * 32, many=True))
    print(f"the trial took {TRIAL_SECONDS} s on its machine; its recipe takes {bare:.2f} s here and now")
    print("                                    of the trial   of one decode")
    for says, seconds in (
        ("one plain decode", plain),
        ("the trial’s bare recipe", bare),
        ("all nine prints", careful),
        ("all nine prints, many", quick),
    ):
        print(f"{says:<26} {seconds:6.2f} s   {seconds / bare:11.2f}   {seconds / plain:13.2f}")


if __name__ == "__main__":
    main()
