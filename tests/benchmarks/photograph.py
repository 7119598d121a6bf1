"""One 24-megapixel photograph to all its prints, against one plain decode of the same file.

.venv/bin/python -m tests.benchmarks.photograph
"""

import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.support import environment

environment.prepare()

from PIL import Image  # noqa: E402 - the environment comes first

from catalog.pictures.prints import make_prints  # noqa: E402

ROUNDS = 5


def median_seconds(work: Callable[[], object]) -> float:
    """The median wall time of `work` over some rounds, after one that does not count."""
    work()
    times = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return statistics.median(times)


def main() -> None:
    """Print the seconds and the ratio."""
    with tempfile.TemporaryDirectory() as folder:
        original = Path(folder) / "large.jpg"
        small = Image.effect_noise((1500, 1000), 40).convert("RGB")
        small.resize((6000, 4000), Image.Resampling.BICUBIC).save(original, "JPEG", quality=92)
        plain = median_seconds(lambda: Image.open(original).load())
        careful = median_seconds(lambda: make_prints(original, "a" * 32))
        quick = median_seconds(lambda: make_prints(original, "b" * 32, many=True))
    print(f"one plain decode            {plain:6.2f} s   1.00")
    print(f"all nine prints             {careful:6.2f} s   {careful / plain:4.2f}")
    print(f"all nine prints, many       {quick:6.2f} s   {quick / plain:4.2f}")


if __name__ == "__main__":
    main()
