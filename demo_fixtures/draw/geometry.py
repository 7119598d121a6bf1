"""Plain geometry of outlines: curves into points, lines that run inside an outline, what a frame can see."""

import re
from functools import lru_cache
from math import cos, hypot, pi, sin

Point = tuple[float, float]
Points = tuple[Point, ...]
STEPS = 16


def circle(x: float, y: float, r: float, count: int = 96) -> Points:
    """Points around a circle."""
    return tuple((x + r * cos(2 * pi * i / count), y + r * sin(2 * pi * i / count)) for i in range(count))


@lru_cache(maxsize=256)
def flatten(d: str) -> Points:
    """The points of a closed path that is written with M, L, C and Z alone."""
    points: list[Point] = []
    for letter, rest in re.findall(r"([MLC])([^MLCZ]*)", d):
        numbers = [float(number) for number in rest.replace(",", " ").split()]
        if letter == "C":
            points.extend(_along(points[-1], numbers))
        elif not points or hypot(points[-1][0] - numbers[0], points[-1][1] - numbers[1]) > 0.05:
            points.append((numbers[0], numbers[1]))
    return tuple(points)


def _along(start: Point, numbers: list[float]) -> list[Point]:
    a, b, c, d, e, f = numbers
    found = []
    for step in range(1, STEPS + 1):
        t = step / STEPS
        u = 1 - t
        w = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
        found.append(
            (
                w[0] * start[0] + w[1] * a + w[2] * c + w[3] * e,
                w[0] * start[1] + w[1] * b + w[2] * d + w[3] * f,
            )
        )
    return found


def area(points: Points) -> float:
    """Signed area: above zero when the points run clockwise on the page (y downwards)."""
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) / 2


@lru_cache(maxsize=1024)
def inset(points: Points, distance: float) -> Points:
    """The outline `distance` mm inside `points`; where it would cross itself the corner is left out."""
    turn = 1 if area(points) > 0 else -1
    count = len(points)
    moved = [
        _inward(points[i - 1], points[i], points[(i + 1) % count], distance * turn) for i in range(count)
    ]
    coarse = points[::2]
    return tuple(p for p in moved if all(hypot(p[0] - q[0], p[1] - q[1]) > distance * 0.96 for q in coarse))


def _inward(before: Point, here: Point, after: Point, distance: float) -> Point:
    dx, dy = after[0] - before[0], after[1] - before[1]
    long = hypot(dx, dy) or 1.0
    return here[0] - dy / long * distance, here[1] + dx / long * distance


def closed(points: Points) -> str:
    """Path data through `points` and back to the first."""
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points) + "Z"


def inside(point: Point, points: Points) -> bool:
    """Whether `point` lies within the outline."""
    x, y = point
    crossings = 0
    for a, b in zip(points, points[1:] + points[:1], strict=True):
        if (a[1] > y) != (b[1] > y) and x < a[0] + (y - a[1]) * (b[0] - a[0]) / (b[1] - a[1]):
            crossings += 1
    return crossings % 2 == 1
