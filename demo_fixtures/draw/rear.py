"""The instrument from behind: back, neck and heel; x grows towards the bass side there."""

import re

from demo_fixtures.draw import banjo
from demo_fixtures.draw.face import is_carved
from demo_fixtures.draw.fittings import band, dome
from demo_fixtures.draw.geometry import closed, flatten
from demo_fixtures.draw.head import draw_head_back
from demo_fixtures.draw.layout import Layout, fret_y, half_width
from demo_fixtures.draw.outlines import bass_edge, body
from demo_fixtures.draw.plate import Plate
from demo_fixtures.draw.shading import Relief
from demo_fixtures.draw.svg import CLEAR, Sheet, mix


def flipped(d: str) -> str:
    """The path `d` mirrored left to right; only for paths of absolute points (M, L, C, Z)."""
    numbers = iter(range(10**6))

    def turn(found: re.Match[str]) -> str:
        return found.group() if next(numbers) % 2 else f"{-float(found.group()):.2f}"

    return re.sub(r"-?\d+(?:\.\d+)?", turn, d)


def draw_back(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """Everything that is seen of the piece from behind."""
    if plate.kind == "banjo" and plate.resonator:
        banjo.draw_resonator(sheet, plate, lay)
    elif plate.kind == "banjo":
        banjo.draw_open_back(sheet, plate, lay)
    else:
        _back(sheet, plate, lay)
    _neck(sheet, plate, lay)
    draw_head_back(sheet, plate, lay)


def _back(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    d, s, t = body(plate, lay), lay.shape, lay.body_top
    if plate.body == "carved-scroll":
        d = flipped(d)
    sheet.path(
        d, fill=plate.back, fill_opacity=CLEAR, stroke=mix(plate.back, "#000000", 0.6), stroke_width=1.2
    )
    if plate.body == "bowl":
        _ribs(sheet, plate, lay, d)
    else:
        _seam(sheet, plate, lay)
    tone = plate.binding if plate.body != "bowl" else mix(plate.back, "#000000", 0.5)
    band(sheet, flatten(d), 0, 3.8, "#1b120c")
    band(sheet, flatten(d), 0, 3.1, tone)
    dome(sheet, plate, 0, t + s.length - 1, 3.6)


def reliefs(plate: Plate, lay: Layout) -> list[Relief]:
    """The shading of the back towards its edge."""
    if plate.kind == "banjo":
        return []
    d, s = body(plate, lay), lay.shape
    outline = flatten(flipped(d) if plate.body == "carved-scroll" else d)
    reach = s.lower * (0.34 if plate.body == "bowl" else 0.13 if is_carved(plate) else 0.05)
    found = [Relief(outline, reach, "#140803", 0.75 if reach > 12 else 0.5)]
    if plate.sunburst and is_carved(plate):
        found.insert(0, Relief(outline, s.lower * 0.44, mix(plate.back, "#0c0402", 0.8), 1.0))
    return found


def _seam(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    t, end = lay.body_top, lay.body_top + lay.shape.length
    line = f"M0 {t:.1f} V{end:.1f}"
    if plate.kind == "flat-top" and plate.seed % 3:
        sheet.path(line, stroke="#1b110a", stroke_width=7)
        sheet.path(line, stroke=plate.binding, stroke_width=5.6)
        sheet.path(
            line,
            stroke=("#6b2d1c", "#2f4a43", "#20140d")[plate.seed % 3],
            stroke_width=5.6,
            stroke_dasharray="2.6 2.2",
        )
    else:
        sheet.path(line, stroke="#150a05", stroke_width=0.7, stroke_opacity=0.75)
        sheet.path(f"M0.6 {t:.1f} V{end:.1f}", stroke="#fff", stroke_width=0.4, stroke_opacity=0.2)


def _ribs(sheet: Sheet, plate: Plate, lay: Layout, d: str) -> None:
    """The staves of a bowl back run from the neck to the end clasp."""
    s, t = lay.shape, lay.body_top
    low, end = t + s.y_lower, t + s.length
    for rib in range(-6, 6):
        x = s.lower * (rib + 0.5) / 6.2
        line = (
            f"M{x * 0.12:.1f} {t - 4:.1f} C{x * 0.7:.1f} {t + s.length * 0.2:.1f} {x:.1f} "
            f"{low - s.length * 0.3:.1f} {x:.1f} {low:.1f} C{x:.1f} {low + (end - low) * 0.5:.1f} "
            f"{x * 0.7:.1f} {end - 6:.1f} {x * 0.3:.1f} {end:.1f}"
        )
        sheet.path(line, fill="none", stroke="#000", stroke_width=5, stroke_opacity=0.1)
        sheet.path(line, fill="none", stroke=mix(plate.binding, plate.back, 0.2), stroke_width=0.9)
    low_end = tuple(point for point in flatten(d) if point[1] > end - 52)
    clasp = closed(low_end)
    sheet.path(
        clasp, fill=mix(plate.back, "#1a0a04", 0.5), fill_opacity=0.7, stroke=plate.binding, stroke_width=0.9
    )


def _neck(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The round of the neck with the heel that runs out on the back."""
    wide = half_width(lay, lay.body_top)
    d = _shaft(plate, lay)
    look: dict[str, str | float] = {"stroke": mix(plate.back, "#000000", 0.6), "stroke_width": 0.8}
    sheet.path(d, fill=plate.back, fill_opacity=CLEAR, **look)
    round_ = (
        (0, "#000", 0.55),
        (0.2, "#000", 0.05),
        (0.36, "#fff", 0.34),
        (0.5, "#fff", 0.05),
        (0.75, "#000", 0.14),
        (1, "#000", 0.62),
    )
    sheet.path(d, fill=sheet.linear(-wide, 0, wide, 0, *round_))
    volute = sheet.radial(0, -4, lay.nut * 1.1, (0, "#000", 0.42), (1, "#000", 0))
    sheet.ellipse(0, -2, lay.nut * 0.86, 12, fill=volute)
    if plate.kind != "banjo":
        _heel(sheet, plate, lay)


def _shaft(plate: Plate, lay: Layout) -> str:
    t = lay.body_top + (4 if plate.kind != "banjo" else -6)
    a, b = lay.nut, half_width(lay, t)
    if plate.variant != "five-string":
        return f"M{-a:.1f} 0 H{a:.1f} L{b:.1f} {t:.1f} H{-b:.1f} Z"
    y = fret_y(lay.scale, 5)
    edge = bass_edge(plate, lay, y)
    return (
        f"M{-a:.1f} 0 H{a:.1f} L{half_width(lay, y - 24):.1f} {y - 24:.1f} "
        f"C{edge:.1f} {y - 14:.1f} {edge:.1f} {y - 8:.1f} {edge:.1f} {y:.1f} "
        f"L{b + 6.4:.1f} {t:.1f} H{-b:.1f} Z"
    )


def _heel(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    t, wide = lay.body_top, half_width(lay, lay.body_top)
    deep = min(34.0, lay.shape.length * 0.075)
    d = (
        f"M{-wide:.1f} {t - deep * 1.6:.1f} C{-wide:.1f} {t - 4:.1f} {-wide * 0.62:.1f} {t + deep:.1f} 0 "
        f"{t + deep:.1f} C{wide * 0.62:.1f} {t + deep:.1f} {wide:.1f} {t - 4:.1f} {wide:.1f} "
        f"{t - deep * 1.6:.1f} Z"
    )
    tone = mix(plate.back, "#2a1206", 0.2)
    with sheet.group(transform="translate(3 4)"):
        sheet.path(d, fill=sheet.linear(0, t - deep, 0, t + deep * 0.6, (0, "#000", 0), (1, "#000", 0.4)))
    sheet.path(d, fill=sheet.linear(0, t - deep * 1.5, 0, t, (0, tone, 0), (1, tone, 0.5)))
    sheet.path(
        d,
        fill=sheet.radial(
            0, t + deep * 0.2, wide * 1.4, (0, mix(tone, "#ffffff", 0.2), 0.8), (0.6, tone, 0.6), (1, tone, 0)
        ),
    )
    cap = (
        f"M{-wide * 0.5:.1f} {t + deep * 0.62:.1f} Q0 {t + deep * 0.3:.1f} {wide * 0.5:.1f} "
        f"{t + deep * 0.62:.1f} Q{wide * 0.3:.1f} {t + deep:.1f} 0 {t + deep:.1f} "
        f"Q{-wide * 0.3:.1f} {t + deep:.1f} {-wide * 0.5:.1f} {t + deep * 0.62:.1f} "
        f"Z"
    )
    sheet.path(cap, fill=plate.binding, fill_opacity=0.9, stroke="#2a180c", stroke_width=0.4)
