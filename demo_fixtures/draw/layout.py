"""Proportions in millimetres, with no ink: scale, frets, strings, tuners.

The origin is the middle of the nut; y grows towards the bridge, x towards the treble side seen from the front.
Sizes are ordinary ones for such instruments (common practice, no source).
"""

from dataclasses import dataclass

from demo_fixtures.draw.plate import Plate


@dataclass(frozen=True)
class Shape:
    """Sizes of a body in mm: length, then half widths of upper bout, waist and lower bout and where they lie."""

    length: float
    upper: float
    waist: float
    lower: float
    y_upper: float
    y_waist: float
    y_lower: float
    depth: float


@dataclass(frozen=True)
class Layout:
    """The skeleton of one instrument: lengths in mm, counts of frets, strings and courses."""

    scale: float
    frets: int
    joint: int
    courses: int
    doubled: bool
    nut: float
    heel: float
    peghead: tuple[float, float]
    shape: Shape
    body_top: float


@dataclass(frozen=True)
class String:
    """One string: where it leaves the nut (or the fifth peg), where it meets the bridge, and its gauge in mm."""

    start: tuple[float, float]
    end: tuple[float, float]
    gauge: float
    wound: bool


def _guitar(length: float, upper: float, waist: float, lower: float, depth: float) -> Shape:
    return Shape(length, upper, waist, lower, length * 0.2, length * 0.4, length * 0.72, depth)


def _pear(length: float, lower: float, depth: float) -> Shape:
    return Shape(length, lower * 0.5, lower * 0.5, lower, length * 0.2, length * 0.3, length * 0.66, depth)


def _pot(depth: float, r: float = 144) -> Shape:
    return Shape(2 * r, r, r, r, r, r, r, depth)


# scale, frets, fret at the body, courses, doubled, half nut, half neck at the body, peghead (half width, length)
_ROWS: dict[tuple[str, str], tuple[float, int, int, int, bool, float, float, tuple[float, float]]] = {
    ("banjo", "five-string"): (667, 22, 22, 4, False, 16.5, 24, (35, 150)),
    ("banjo", "tenor"): (584, 19, 19, 4, False, 15.5, 22, (34, 140)),
    ("banjo", "plectrum"): (667, 22, 22, 4, False, 16, 22, (34, 145)),
    ("banjo", "banjolele"): (346, 16, 16, 4, False, 17, 21, (28, 98)),
    ("flat-top", "six-string"): (632, 20, 14, 6, False, 22, 28, (37, 165)),
    ("flat-top", "twelve-string"): (660, 19, 12, 6, True, 24, 30, (41, 235)),
    ("flat-top", "tenor"): (584, 19, 14, 4, False, 16, 21, (31, 128)),
    ("archtop", "f-hole"): (629, 20, 14, 6, False, 21.5, 28, (40, 172)),
    ("archtop", "f-hole-tenor"): (584, 20, 14, 4, False, 16, 21, (32, 132)),
    ("archtop", "round-hole"): (629, 19, 13, 6, False, 22, 28, (39, 165)),
    ("ukulele", "taropatch"): (381, 17, 12, 4, True, 18.5, 24, (30, 124)),
    ("mandolin", "mandolin"): (352, 20, 12, 4, True, 14.5, 19, (33, 138)),
    ("mandolin", "mandola"): (406, 20, 12, 4, True, 15.5, 20, (35, 148)),
    ("mandolin", "mandocello"): (629, 20, 14, 4, True, 17.5, 24, (38, 172)),
    ("ukulele", "soprano"): (346, 12, 12, 4, False, 17, 21, (26, 92)),
    ("ukulele", "concert"): (381, 15, 12, 4, False, 17.5, 22, (27, 96)),
    ("ukulele", "tenor"): (432, 17, 13, 4, False, 18, 23, (29, 104)),
    ("ukulele", "baritone"): (510, 18, 14, 4, False, 18.5, 24, (31, 116)),
}
_SHAPES: dict[tuple[str, str], Shape] = {
    ("flat-top", "six-string"): _guitar(492, 143, 119, 195, 102),
    ("flat-top", "twelve-string"): _guitar(505, 146, 122, 202, 106),
    ("flat-top", "tenor"): _guitar(432, 118, 98, 162, 92),
    ("archtop", "f-hole"): _guitar(520, 152, 126, 213, 86),
    ("archtop", "f-hole-tenor"): _guitar(482, 138, 114, 194, 84),
    ("archtop", "round-hole"): _guitar(505, 145, 118, 202, 84),
    ("ukulele", "soprano"): _guitar(238, 59, 46, 79, 56),
    ("ukulele", "concert"): _guitar(272, 68, 54, 92, 62),
    ("ukulele", "taropatch"): _guitar(282, 71, 56, 96, 64),
    ("ukulele", "tenor"): _guitar(304, 75, 60, 104, 68),
    ("ukulele", "baritone"): _guitar(356, 92, 76, 127, 78),
    ("mandolin", "carved-scroll"): _pear(318, 124, 46),
    ("mandolin", "carved-pear"): _pear(328, 126, 48),
    ("mandolin", "bowl"): _pear(318, 102, 140),
}
_MANDOLIN_SIZE = {"mandolin": 1.0, "mandola": 1.14, "mandocello": 1.5}


def layout_of(plate: Plate) -> Layout:
    """The skeleton of `plate`."""
    scale, frets, joint, courses, doubled, nut, heel, peghead = _ROWS[plate.kind, plate.variant]
    if plate.body == "carved-scroll":
        joint += 2
    shape = _shape(plate)
    top = scale - shape.length * 0.69 if plate.kind == "banjo" else fret_y(scale, joint)
    return Layout(scale, frets, joint, courses, doubled, nut, heel, peghead, shape, top)


def _shape(plate: Plate) -> Shape:
    if plate.kind == "banjo":
        if plate.variant == "banjolele":
            return _pot(58, 96)
        return _pot(92 if plate.resonator else 68)
    if plate.kind != "mandolin":
        return _SHAPES[plate.kind, plate.variant]
    plain = _SHAPES["mandolin", plate.body]
    size = _MANDOLIN_SIZE[plate.variant]
    values = (
        plain.length,
        plain.upper,
        plain.waist,
        plain.lower,
        plain.y_upper,
        plain.y_waist,
        plain.y_lower,
    )
    length, upper, waist, lower, y_upper, y_waist, y_lower = (value * size for value in values)
    depth = plain.depth * (1 + (size - 1) * 0.6)
    return Shape(length, upper, waist, lower, y_upper, y_waist, y_lower, depth)


def fret_y(scale: float, number: int) -> float:
    """How far fret `number` lies from the nut, in the unit of `scale`: each fret halves a twelfth of an octave."""
    return scale * (1 - 2 ** (-number / 12))


def half_width(lay: Layout, y: float) -> float:
    """Half the width of the fingerboard at `y` mm from the nut."""
    return lay.nut + (lay.heel - lay.nut) * min(1.15, y / lay.body_top)


def strings(plate: Plate) -> tuple[String, ...]:
    """Every string of the piece, from the bass side to the treble side; a five-string banjo's short one first."""
    lay = layout_of(plate)
    spread = half_width(lay, lay.body_top) * (
        1.02 if plate.kind in ("flat-top", "archtop", "ukulele") else 0.92
    )
    found = [string for course in range(lay.courses) for string in _course(lay, course, spread, plate.kind)]
    if plate.variant == "five-string":
        y = fret_y(lay.scale, 5)
        found.insert(0, String((-half_width(lay, y) - 3.6, y + 2), (-spread - 5.5, lay.scale), 0.3, False))
    return tuple(found)


def _course(lay: Layout, course: int, spread: float, kind: str) -> list[String]:
    place = -1 + 2 * course / (lay.courses - 1)
    gauge = (1.25 if lay.scale > 500 else 0.9) - (0.9 if lay.scale > 500 else 0.6) * course / (
        lay.courses - 1
    )
    wound = kind != "ukulele" and course < lay.courses / 2
    gap = (1.15, 1.5) if lay.doubled else (0.0, 0.0)
    sides = (-1, 1) if lay.doubled else (0,)
    nut = place * (lay.nut - 3.4)
    return [
        String((nut + side * gap[0], 0), (place * spread + side * gap[1], lay.scale), gauge, wound)
        for side in sides
    ]


def tuner_posts(plate: Plate) -> list[tuple[float, float, int]]:
    """Posts on the peghead as (x, y, side); y is negative. In the order of the strings that reach the nut."""
    lay = layout_of(plate)
    wide, long = lay.peghead
    count = sum(1 for string in strings(plate) if string.start[1] == 0)
    rows = count // 2
    steps = [-long * (0.25 + 0.55 * row / (rows - 1)) for row in range(rows)]
    bass = [(-wide * 0.56, y, -1) for y in steps]
    return bass + [(wide * 0.56, y, 1) for y in reversed(steps)]
