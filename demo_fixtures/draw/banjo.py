"""The pot of a banjo: head, hoop, hooks, resonator; and the rim with its dowel seen from behind."""

from math import cos, pi, sin
from random import Random

from demo_fixtures.draw.fittings import bar, dome, metal, screw, soft_shadow
from demo_fixtures.draw.layout import Layout, strings
from demo_fixtures.draw.outlines import ring
from demo_fixtures.draw.plate import Plate
from demo_fixtures.draw.svg import CLEAR, Sheet, mix

HOOKS = 24


def centre(lay: Layout) -> tuple[float, float]:
    """Middle of the pot (y) and the radius of its rim, in mm."""
    return lay.body_top + lay.shape.lower, lay.shape.lower


def outer(plate: Plate, lay: Layout) -> float:
    """The radius in mm of all that belongs to the pot: the resonator, or the hooks alone."""
    return lay.shape.lower + (31 if plate.resonator else 7)


def draw_pot(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The pot from the front, without bridge and strings."""
    y, r = centre(lay)
    if plate.resonator:
        _flange(sheet, plate, lay)
    _hooks(sheet, plate, y, r)
    _skin(sheet, plate, y, r)
    light, middle, dark = metal(plate)
    for out, wide, tone in (
        (-4.2, 6.2, dark),
        (-4.4, 5.0, middle),
        (-5.2, 1.4, light),
        (-3.0, 0.8, mix(middle, light, 0.5)),
    ):
        sheet.circle(0, y, r + out, fill="none", stroke=tone, stroke_width=wide)
    gleam = sheet.linear(
        -r,
        y - r,
        r,
        y + r,
        (0, "#fff", 0.75),
        (0.3, "#fff", 0),
        (0.62, "#000", 0),
        (0.8, "#000", 0.3),
        (1, "#fff", 0.35),
    )
    sheet.circle(0, y, r - 4.3, fill="none", stroke=gleam, stroke_width=5.4)


def _flange(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    y, r = centre(lay)
    full = outer(plate, lay)
    light, middle, dark = metal(plate)
    for out, wide, tone in ((full, full - r, plate.back), (full + 0.5, 1.0, mix(plate.back, "#000000", 0.5))):
        sheet.circle(0, y, out - wide / 2, fill="none", stroke=tone, stroke_width=wide)
    sheet.circle(0, y, full - 2.2, fill="none", stroke=plate.binding, stroke_width=3.8)
    sheet.circle(0, y, full - 5, fill="none", stroke="#1b120c", stroke_width=1)
    plate_paint = sheet.linear(
        -r, y - r, r, y + r, (0, light), (0.25, middle), (0.45, light), (0.7, dark), (1, middle)
    )
    sheet.circle(0, y, r + 12, fill="none", stroke=plate_paint, stroke_width=27)
    for step in range(HOOKS):
        x, z = _around(y, r + 14, step + 0.5)
        with sheet.group(transform=f"rotate({360 / HOOKS * (step + 0.5):.1f} {x:.2f} {z:.2f})"):
            sheet.rect(x - 11, z - 4, 22, 8, rx=4, fill="#120c09", stroke=dark, stroke_width=0.6)


def _around(y: float, r: float, step: float) -> tuple[float, float]:
    turn = 2 * pi * step / HOOKS - pi / 2
    return r * cos(turn), y + r * sin(turn)


def _hooks(sheet: Sheet, plate: Plate, y: float, r: float) -> None:
    for step in range(HOOKS):
        turn = 360 / HOOKS * (step + 0.5)
        with sheet.group(transform=f"rotate({turn:.1f} 0 {y:.2f})"):
            sheet.rect(-2.6, y - r - 6.6, 5.2, 9, rx=1.6, fill=bar(sheet, plate, -2.6, 0, 2.6, 0))
            sheet.rect(-3.6, y - r - 7.0, 7.2, 5.2, rx=0.9, fill=bar(sheet, plate, -3.6, 0, 3.6, 0))


def _skin(sheet: Sheet, plate: Plate, y: float, r: float) -> None:
    head = r - 6
    part = r / 144
    sheet.circle(0, y, head, fill=plate.top, fill_opacity=CLEAR)
    dice = Random(plate.seed * 7 + 6)
    for _ in range(round(5 + 12 * plate.wear)):
        x, z, size = part * dice.gauss(18, 34), y + part * dice.gauss(34, 40), part * dice.uniform(10, 34)
        stain = sheet.radial(
            x, z, size, (0, "#7a5a30", round(0.14 + 0.14 * plate.wear, 2)), (1, "#7a5a30", 0)
        )
        sheet.circle(x, z, size, fill=stain)
    ledge = sheet.radial(
        0, y, head, (0.9, "#000", 0), (0.955, "#000", 0.1), (0.965, "#fff", 0.4), (1, "#000", 0.34)
    )
    sheet.circle(0, y, head, fill=ledge)


def tail(lay: Layout) -> tuple[float, float]:
    """Where the strings are fastened: y in mm, and the spread there as a share of that at the bridge."""
    y, r = centre(lay)
    return y + r - 42, 0.56


def draw_bridge(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The three-footed bridge and the tailpiece."""
    _tailpiece(sheet, plate, lay)
    spread, y = max(s.end[0] for s in strings(plate)) + 8, lay.scale
    d = f"M{-spread:.1f} {y - 2.6:.1f} H{spread:.1f} L{spread + 2:.1f} {y + 4:.1f} H{-spread - 2:.1f} Z"
    soft_shadow(sheet, d, 4, 6, 3, 0.5)
    for foot in (-0.92, 0, 0.92):
        sheet.rect(
            foot * spread - 6,
            y - 1,
            12,
            6.6,
            rx=1.6,
            fill=sheet.linear(0, y, 0, y + 6, (0, "#d9b27a"), (1, "#7f5426")),
        )
    sheet.path(
        d,
        fill=sheet.linear(0, y - 3, 0, y + 4, (0, "#e9cb96"), (0.4, "#c89b5c"), (1, "#7f5426")),
        stroke="#4a2e12",
        stroke_width=0.3,
    )
    sheet.rect(-spread, y - 2.8, spread * 2, 2.1, fill="#17110e")


def _tailpiece(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    y, r = centre(lay)
    start, share = tail(lay)
    wide, end = max(s.end[0] for s in strings(plate)) * share + 6, y + r
    light, middle, dark = metal(plate)
    soft_shadow(sheet, _tail_outline(wide, start, end - 12), 3, 5, 3, 0.5)
    shine = ((0, light), (0.2, middle), (0.42, "#ffffff"), (0.62, middle), (1, dark))
    face = sheet.linear(-wide, start, wide, start + 30, *shine)
    sheet.path(_tail_outline(wide, start, end + 5), fill=face, stroke=dark, stroke_width=0.6)
    screw(sheet, plate, 0, end - 6, 4.2)
    for string in strings(plate):
        dome(sheet, plate, string.end[0] * share, start - 1, 1.5)


def _tail_outline(wide: float, start: float, low: float) -> str:
    return (
        f"M{-wide:.1f} {start - 6:.1f} Q0 {start - 12:.1f} {wide:.1f} {start - 6:.1f} "
        f"L{wide * 0.9:.1f} {start + 16:.1f} Q{wide * 0.46:.1f} {start + 24:.1f} {wide * 0.46:.1f} {low:.1f} "
        f"H{-wide * 0.46:.1f} Q{-wide * 0.46:.1f} {start + 24:.1f} {-wide * 0.9:.1f} {start + 16:.1f} Z"
    )


def draw_open_back(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The pot from behind without resonator: rim, the head from inside, dowel and brackets."""
    y, r = centre(lay)
    _hooks(sheet, plate, y, r)
    sheet.circle(0, y, r, fill=plate.back, fill_opacity=CLEAR, stroke="#1d100a", stroke_width=0.8)
    for edge, tone in ((-1.5, "#fff"), (-13.5, "#000")):
        sheet.circle(0, y, r + edge, fill="none", stroke=tone, stroke_width=2.4, stroke_opacity=0.25)
    inside = sheet.radial(
        r * 0.2,
        y + r * 0.25,
        r * 1.1,
        (0, mix(plate.top, "#fff6e0", 0.3), 0.88),
        (0.7, plate.top, 0.9),
        (1, "#6f5a38"),
    )
    sheet.circle(0, y, r - 15, fill=inside)
    hollow = sheet.linear(
        -r, y - r, r * 0.8, y + r * 0.8, (0, "#000", 0.62), (0.3, "#000", 0.2), (0.55, "#000", 0)
    )
    sheet.circle(0, y, r - 15, fill=hollow)
    _shoes(sheet, plate, y, r)
    _dowel(sheet, plate, lay)


def _shoes(sheet: Sheet, plate: Plate, y: float, r: float) -> None:
    for step in range(HOOKS):
        turn = 360 / HOOKS * (step + 0.5)
        with sheet.group(transform=f"rotate({turn:.1f} 0 {y:.2f})"):
            sheet.rect(-2.8, y - r + 13.6, 5.6, 3.2, rx=1, fill=bar(sheet, plate, -2.8, 0, 2.8, 0))


def _dowel(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    y, r = centre(lay)
    wood = mix(plate.back, "#e2b878", 0.35)
    d = f"M-11.5 {y - r + 14:.1f} H11.5 L9.5 {y + r - 15:.1f} H-9.5 Z"
    soft_shadow(sheet, d, 7, 9, 6, 0.6)
    shade = (
        (0, mix(wood, "#000000", 0.45)),
        (0.25, mix(wood, "#ffffff", 0.28)),
        (0.6, wood),
        (1, mix(wood, "#000000", 0.5)),
    )
    sheet.path(d, fill=sheet.linear(-11.5, 0, 11.5, 0, *shade))
    dice = Random(plate.seed * 7 + 9)
    for _ in range(16):
        x = dice.uniform(-9, 9)
        sheet.path(
            f"M{x:.2f} {y - r + 15:.1f} L{x * 0.9:.2f} {y + r - 16:.1f}",
            stroke="#3a1e0c",
            stroke_width=0.35,
            stroke_opacity=0.3,
        )
    _brace(sheet, plate, y - r + 34)
    _stamp(sheet, plate, y)


def _brace(sheet: Sheet, plate: Plate, y: float) -> None:
    """The metal yoke that holds the neck to the rim."""
    d = f"M-22 {y - 5:.1f} H22 V{y + 5:.1f} H-22 Z"
    soft_shadow(sheet, d, 2, 3, 2)
    sheet.path(d, fill=bar(sheet, plate, 0, y - 5, 0, y + 5))
    for x in (-17, 17):
        screw(sheet, plate, x, y, 3)


def _stamp(sheet: Sheet, plate: Plate, y: float) -> None:
    look: dict[str, str | float] = {
        "font_family": "DejaVu Sans Mono",
        "font_size": min(11, 84 / max(1, len(plate.serial))),
        "letter_spacing": 1.2,
    }
    with sheet.group(transform=f"rotate(90 0 {y:.2f})"):
        sheet.text(0.4, y + 4.4, plate.serial, fill="#fff", fill_opacity=0.4, **look)
        sheet.text(0, y + 4, plate.serial, fill="#1a0c05", fill_opacity=0.85, **look)


def draw_resonator(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The back of the resonator: book-matched wood, inlaid rings, binding, screws."""
    y, _ = centre(lay)
    r = outer(plate, lay)
    sheet.circle(0, y, r, fill=plate.back, fill_opacity=CLEAR, stroke="#1a0e08", stroke_width=0.8)
    for out in (0.4, 0.62, 0.8)[: 2 + plate.seed % 2]:
        for wide, tone in ((3.4, "#1b110a"), (2.4, plate.binding), (0.8, "#6a3218")):
            sheet.circle(0, y, r * out, fill="none", stroke=tone, stroke_width=wide)
    sheet.circle(0, y, r - 2.4, fill="none", stroke="#1b110a", stroke_width=5.8)
    sheet.circle(0, y, r - 2.2, fill="none", stroke=plate.binding, stroke_width=4.4)
    sheet.path(f"M0 {y - r + 5:.1f} V{y + r - 5:.1f}", stroke="#1b0e06", stroke_width=0.5, stroke_opacity=0.7)
    for step in range(4):
        x, z = _around(y, r - 15, HOOKS / 8 + step * HOOKS / 4)
        screw(sheet, plate, x, z, 4)


def rim_outline(lay: Layout) -> str:
    """The rim as a path."""
    y, r = centre(lay)
    return ring(0, y, r)
