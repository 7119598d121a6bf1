"""Outlines as SVG path data, in mm: bodies, pegheads, fingerboards, f-holes."""

from demo_fixtures.draw.layout import Layout, fret_y, half_width
from demo_fixtures.draw.plate import Plate

Cubic = tuple[float, float, float, float, float, float]

# Right halves from the nut (y 0) to the top (y 1); x in half widths of the peghead. Shapes are our own.
_HEADS: dict[str, tuple[Cubic, ...]] = {
    "crown": (
        (0.62, 0.07, 0.95, 0.08, 0.97, 0.17), (1.0, 0.4, 0.97, 0.7, 0.9, 0.86),
        (0.92, 0.91, 1.0, 0.95, 0.87, 0.97), (0.66, 1.0, 0.48, 0.91, 0.3, 0.94), (0.2, 0.96, 0.12, 1.0, 0, 1.0),
    ),
    "wave": (
        (0.62, 0.07, 0.86, 0.08, 0.9, 0.17), (0.82, 0.42, 0.84, 0.6, 1.0, 0.8),
        (1.06, 0.92, 0.84, 0.95, 0.62, 0.93), (0.4, 0.91, 0.3, 1.0, 0, 1.0),
    ),
    "slope": (
        (0.62, 0.05, 0.84, 0.06, 0.86, 0.14), (0.9, 0.4, 0.97, 0.7, 1.0, 0.9), (1.01, 0.97, 0.5, 1.01, 0, 0.96),
    ),
    "moth": (
        (0.62, 0.06, 0.92, 0.06, 0.96, 0.15), (1.0, 0.3, 0.8, 0.4, 0.8, 0.5),
        (0.82, 0.62, 1.03, 0.68, 1.0, 0.82), (0.98, 0.93, 0.7, 0.98, 0.5, 0.93), (0.36, 0.9, 0.2, 0.96, 0, 1.0),
    ),
    "shoulders": (
        (0.62, 0.04, 1.0, 0.04, 1.0, 0.13), (1.0, 0.4, 0.95, 0.7, 0.95, 0.84),
        (0.95, 0.91, 0.7, 0.9, 0.64, 0.935), (0.58, 0.985, 0.25, 1.0, 0, 1.0),
    ),
    "lyre": (
        (0.62, 0.05, 0.72, 0.08, 0.78, 0.18), (0.82, 0.4, 1.04, 0.45, 1.0, 0.72),
        (0.98, 0.9, 0.62, 0.86, 0.5, 0.945), (0.42, 1.0, 0.2, 0.98, 0, 0.965),
    ),
}  # fmt: skip


def _pen(cubics: list[Cubic]) -> str:
    return " ".join(f"C{a:.2f} {b:.2f} {c:.2f} {d:.2f} {e:.2f} {f:.2f}" for a, b, c, d, e, f in cubics)


def mirrored(start: tuple[float, float], half: list[Cubic]) -> str:
    """The closed outline whose right half runs from `start` along `half`; both ends lie on or near the axis."""
    ends = [start] + [(cubic[4], cubic[5]) for cubic in half]
    back = [
        (-cubic[2], cubic[3], -cubic[0], cubic[1], -ends[i][0], ends[i][1])
        for i, cubic in reversed(list(enumerate(half)))
    ]
    return f"M{start[0]:.2f} {start[1]:.2f} {_pen(half)} L{-ends[-1][0]:.2f} {ends[-1][1]:.2f} {_pen(back)} Z"


def peghead(plate: Plate, lay: Layout) -> str:
    """The peghead above the nut (y from 0 to minus its length)."""
    wide, long = lay.peghead
    half = [
        (a * wide, -b * long, c * wide, -d * long, e * wide, -f * long)
        for a, b, c, d, e, f in _HEADS[plate.peghead]
    ]
    return mirrored((lay.nut + 0.8, 0.6), half)


def body(plate: Plate, lay: Layout) -> str:
    """The body seen from the front."""
    if plate.kind == "banjo":
        return ring(0, lay.body_top + lay.shape.lower, lay.shape.lower)
    if plate.body == "carved-scroll":
        return _scroll(lay)
    return _pear(lay) if plate.kind == "mandolin" else _guitar(lay)


def ring(x: float, y: float, r: float) -> str:
    """A full circle as a path."""
    return (
        f"M{x - r:.2f} {y:.2f} A{r:.2f} {r:.2f} 0 1 1 {x + r:.2f} {y:.2f} "
        f"A{r:.2f} {r:.2f} 0 1 1 {x - r:.2f} {y:.2f} Z"
    )


def _guitar(lay: Layout) -> str:
    s, t = lay.shape, lay.body_top
    u, w, low = t + s.y_upper, t + s.y_waist, t + s.y_lower
    return mirrored((0, t), [
        (s.upper * 0.62, t, s.upper, u - s.y_upper * 0.62, s.upper, u),
        (s.upper, u + (w - u) * 0.45, s.waist, w - (w - u) * 0.42, s.waist, w),
        (s.waist, w + (low - w) * 0.36, s.lower, low - (low - w) * 0.46, s.lower, low),
        (s.lower, low + (t + s.length - low) * 0.62, s.lower * 0.62, t + s.length, 0, t + s.length),
    ])  # fmt: skip


def _pear(lay: Layout) -> str:
    s, t = lay.shape, lay.body_top
    low, end = t + s.y_lower, t + s.length
    neck = half_width(lay, t) + 1.5
    return mirrored((neck, t), [
        (neck + s.lower * 0.16, t + s.length * 0.16, s.lower, low - s.length * 0.34, s.lower, low),
        (s.lower, low + (end - low) * 0.6, s.lower * 0.58, end, 0, end),
    ])  # fmt: skip


def _scroll(lay: Layout) -> str:
    size = lay.shape.length / 318
    t = lay.body_top
    raw: list[Cubic] = [
        (30, 34, 54, 46, 100, 48), (94, 78, 86, 92, 93, 110), (101, 128, 124, 160, 124, 205),
        (124, 270, 70, 318, 0, 318), (-70, 318, -124, 270, -124, 205), (-124, 165, -103, 144, -97, 126),
        (-93, 112, -104, 102, -108, 84), (-122, 36, -104, 4, -72, 5), (-44, 6, -34, 38, -50, 54),
        (-40, 66, -28, 40, -22, 0),
    ]  # fmt: skip
    moved: list[Cubic] = [
        (a * size, t + b * size, c * size, t + d * size, e * size, t + f * size) for a, b, c, d, e, f in raw
    ]
    return f"M{22 * size:.2f} {t:.2f} {_pen(moved)} Z"


def board_end(lay: Layout) -> float:
    """Where the fingerboard ends, in mm from the nut."""
    return fret_y(lay.scale, lay.frets) + lay.scale * 0.009


def fingerboard(plate: Plate, lay: Layout) -> str:
    """The fingerboard from the nut to its end, with the step for a short fifth string."""
    end = board_end(lay)
    a, b = half_width(lay, 0), half_width(lay, end)
    if plate.variant != "five-string":
        return f"M{a:.2f} 0.00 L{b:.2f} {end:.2f} L{-b:.2f} {end:.2f} L{-a:.2f} 0.00 Z"
    step = fret_y(lay.scale, 5)
    before, after = half_width(lay, step - 24), half_width(lay, step) + 6.4
    return (
        f"M{a:.2f} 0 L{b:.2f} {end:.2f} L{-b - 6.4:.2f} {end:.2f} L{-after:.2f} {step:.2f} "
        f"C{-after:.2f} {step - 12:.2f} {-before:.2f} {step - 12:.2f} {-before:.2f} {step - 24:.2f} L{-a:.2f} 0 Z"
    )


def bass_edge(plate: Plate, lay: Layout, y: float) -> float:
    """How far the bass edge of the fingerboard lies from the axis at `y`, in mm."""
    short = plate.variant == "five-string" and y > fret_y(lay.scale, 5) - 8
    return half_width(lay, y) + (6.4 if short else 0)


def f_hole(x: float, y: float, size: float, side: int) -> tuple[str, str, str]:
    """The stem and the two eyes of an f-hole with its middle at (x, y).

    `side` is -1 for the bass side, 1 for the treble side; the upper eye lies towards the middle of the top.
    """

    def at(px: float, py: float) -> str:
        return f"{x + side * px * size:.2f} {y + py * size:.2f}"

    upper = ring(x + side * -8.5 * size, y - 50 * size, 6 * size)
    lower = ring(x + side * 9.5 * size, y + 50 * size, 7.2 * size)
    long = (
        f"M{at(-9, -56)} C{at(14, -44)} {at(8, -14)} {at(4, 0)} C{at(-4, 16)} {at(-9, 40)} {at(10, 57)} "
        f"C{at(-16, 46)} {at(-9, 14)} {at(-4, 0)} C{at(4, -16)} {at(8, -40)} {at(-9, -56)} Z"
    )
    return long, upper, lower
