"""The front of a wooden body: top, sunburst, edges, sound hole or f-holes, pickguard, bridge, tailpiece."""

from random import Random

from demo_fixtures.draw.fittings import band, soft_shadow
from demo_fixtures.draw.geometry import flatten, inset, inside
from demo_fixtures.draw.layout import Layout
from demo_fixtures.draw.outlines import board_end, body, f_hole
from demo_fixtures.draw.plate import Plate
from demo_fixtures.draw.shading import Relief
from demo_fixtures.draw.svg import CLEAR, Sheet, mix


def is_carved(plate: Plate) -> bool:
    """Whether the top is arched rather than flat."""
    return plate.kind == "archtop" or plate.body.startswith("carved")


def has_f_holes(plate: Plate) -> bool:
    """Whether the top has f-holes instead of a round or oval hole."""
    return plate.variant.startswith("f-hole") or plate.body == "carved-scroll"


def draw_body(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The top with all that is let into it or glued on, without bridge and tailpiece."""
    d = body(plate, lay)
    t = lay.body_top
    sheet.path(
        d, fill=plate.top, fill_opacity=CLEAR, stroke=mix(plate.back, "#000000", 0.55), stroke_width=1.2
    )
    _purfling(sheet, plate, d)
    if sheet.sees(t, lay.scale + 30):
        _scratches(sheet, plate, lay, d)
        _holes(sheet, plate, lay)
        _guard(sheet, plate, lay)
    if plate.body == "carved-scroll":
        _scroll_button(sheet, plate, lay)


def reliefs(plate: Plate, lay: Layout) -> list[Relief]:
    """The shading of the top towards its edge: the arch of a carved one, the sunburst of a stained one."""
    outline, s = flatten(body(plate, lay)), lay.shape
    found = [
        Relief(outline, s.lower * 0.13, "#1c0c03", 0.7)
        if is_carved(plate)
        else Relief(outline, 7, "#2a1404", 0.36)
    ]
    if plate.sunburst:
        found.insert(0, Relief(outline, s.lower * 0.3, "#1a0904", 1.15))
        found.insert(0, Relief(outline, s.lower * 0.62, "#8a3408", 1.0))
    return found


def _purfling(sheet: Sheet, plate: Plate, d: str) -> None:
    """Binding and the inlaid lines beside it, from the edge inwards."""
    points = flatten(d)
    size = 0.62 if plate.kind in ("ukulele", "mandolin") else 1.0
    if plate.inlay in ("floral", "diamond", "block"):
        band(sheet, points, 0, 8.6 * size, "#1b120c")
        band(sheet, points, 4.6 * size, 3.4 * size, plate.binding)
        dash = f"{1.7 * size:.2f}"
        tone = ("#22150d", "#6e2a1c", "#2f3d33")[plate.seed % 3]
        band(sheet, points, 4.6 * size, 3.4 * size, tone, stroke_dasharray=dash)
    band(sheet, points, 0, 4.8 * size, "#1b120c")
    band(sheet, points, 0, 4.0 * size, plate.binding)
    band(sheet, points, 0, 1.2 * size, mix(plate.binding, "#4a3210", 0.3))


def hole_centre(plate: Plate, lay: Layout) -> tuple[float, float, float]:
    """Middle (y) and half axes (across, along) of the round or oval sound hole, in mm."""
    oval = plate.kind == "mandolin"
    r = lay.shape.lower * (0.2 if oval else 0.262 if plate.kind != "ukulele" else 0.34)
    y = max(
        board_end(lay) + r + lay.scale * 0.018, lay.body_top + lay.shape.length * (0.3 if not oval else 0.36)
    )
    return (y, r * 1.28, r * 0.94) if oval else (y, r, r)


def _holes(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    s, large = lay.shape, plate.kind == "archtop"
    if has_f_holes(plate):
        size, y = s.length / 520 * (1.28 if large else 1.0), lay.scale - s.length * (0.02 if large else 0.03)
        for side in (-1, 1):
            x = side * s.lower * (0.5 if plate.kind == "archtop" else 0.56)
            _f_hole(sheet, plate, f_hole(x, y, size, side))
        return
    y, across, along = hole_centre(plate, lay)
    _rosette(sheet, plate, y, across, along)
    inside = mix(plate.back, "#000000", 0.78)
    depth = ((0, "#060403"), (0.62, "#0d0805"), (0.9, inside), (1, mix(inside, plate.back, 0.4)))
    sheet.ellipse(
        0, y, across, along, fill=sheet.radial(-across * 0.2, y - along * 0.3, across * 1.35, *depth)
    )
    _label(sheet, plate, y + along * 0.34, across)
    sheet.ellipse(0, y, across, along, fill="none", stroke=mix(plate.top, "#1a0a00", 0.35), stroke_width=1.6)


def _f_hole(sheet: Sheet, plate: Plate, parts: tuple[str, str, str]) -> None:
    bound = plate.inlay == "block"
    tone, wide, fade = (plate.binding, 3.0, 1.0) if bound else ("#fff2dc", 1.2, 0.3)
    for d in parts:
        sheet.path(d, fill="none", stroke=tone, stroke_width=wide, stroke_opacity=fade)
    for d in parts:
        sheet.path(d, fill="#140b07")


def _numbered(serial: str) -> str:
    return f"No. {serial}" if any(sign.isdigit() for sign in serial) else serial


def _label(sheet: Sheet, plate: Plate, y: float, across: float) -> None:
    """The maker's paper label, glued inside the back: seen through the hole, in its shade."""
    wide, tall = across * 1.12, across * 0.62
    box = (-wide / 2, y - tall / 2, wide, tall)
    paper = ((0, "#5a4a30"), (0.3, "#b7a274"), (0.75, "#d6c394"), (1, "#a8925f"))
    sheet.rect(*box, fill=sheet.linear(-wide / 2, y - tall / 2, wide * 0.3, y + tall / 2, *paper))
    edge: dict[str, str | float] = {"fill": "none", "stroke": "#4a2c18", "stroke_opacity": 0.8}
    for gap, line in ((0.04, 0.012), (0.062, 0.005)):
        inner = gap * wide
        sheet.rect(
            box[0] + inner,
            box[1] + inner,
            wide - 2 * inner,
            tall - 2 * inner,
            stroke_width=round(line * wide, 3),
            **edge,
        )
    face: dict[str, str | float] = {"font_family": "Libertinus Serif", "fill": "#3a2214"}
    size = min(wide * 0.125, wide * 1.5 / max(6, len(plate.label)))
    sheet.text(0, y - tall * 0.06, plate.label, font_size=round(size, 2), **face)
    sheet.rect(-wide * 0.1, y + tall * 0.03, wide * 0.2, wide * 0.006, fill="#3a2214")
    sheet.text(
        0,
        y + tall * 0.24,
        _numbered(plate.serial),
        font_size=round(wide * 0.1, 2),
        font_style="italic",
        **face,
    )


def _rosette(sheet: Sheet, plate: Plate, y: float, across: float, along: float) -> None:
    size = across / 51
    rings = [
        (5, "#1a110b", 1.0),
        (6.6, plate.binding, 1.6),
        (8.2, "#1a110b", 1.0),
        (14, "#1a110b", 1.2),
        (16, plate.binding, 2.0),
        (18, "#1a110b", 1.0),
    ]
    if plate.inlay in ("floral", "diamond", "block"):
        rings[3:3] = [(11, plate.binding, 5.0)]
    for out, colour, wide in rings:
        ring_look: dict[str, str | float] = {
            "fill": "none",
            "stroke": colour,
            "stroke_width": round(wide * size, 2),
        }
        sheet.ellipse(0, y, across + out * size, along + out * size, **ring_look)
    dashed: dict[str, str | float] = {
        "stroke_width": round(5 * size, 2),
        "stroke_dasharray": f"{2.6 * size:.2f}",
    }
    if plate.inlay in ("floral", "diamond", "block"):
        tone = ("#2c1a10", "#2d5a52", "#7a2f1e")[plate.seed % 3]
        sheet.ellipse(0, y, across + 11 * size, along + 11 * size, fill="none", stroke=tone, **dashed)


def _guard(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """A pickguard on the treble side, for those kinds that wear one."""
    s, shell = lay.shape, ("#3a1710", "#1c120e", "#4b2413")[plate.seed % 3]
    if plate.kind == "archtop":
        x, y, end = lay.heel + 1, board_end(lay) - 46, lay.scale - 4
        d = (
            f"M{x:.1f} {y:.1f} L{x + 46:.1f} {y + 34:.1f} C{x + 62:.1f} {y + 62:.1f} {x + 60:.1f} "
            f"{end - 34:.1f} {x + 58:.1f} {end - 12:.1f} Q{x + 54:.1f} {end:.1f} {x + 40:.1f} {end:.1f} "
            f"L{x + 24:.1f} {end:.1f} C{x + 14:.1f} {end - 50:.1f} {x + 3:.1f} {y + 120:.1f} {x + 2:.1f} "
            f"{y + 76:.1f} Z"
        )
        soft_shadow(sheet, d, 4, 5, 4, 0.5)
    elif plate.kind == "flat-top" and plate.seed % 4:
        y, r, _ = hole_centre(plate, lay)
        d = (
            f"M{r * 0.98:.1f} {y - r * 0.5:.1f} C{r * 1.5:.1f} {y - r * 0.7:.1f} {r * 2.1:.1f} "
            f"{y + r * 0.1:.1f} {r * 2.1:.1f} {y + r * 1.0:.1f} C{r * 2.1:.1f} {y + r * 1.9:.1f} "
            f"{r * 1.7:.1f} {y + r * 2.1:.1f} {r * 1.3:.1f} {y + r * 1.9:.1f} "
            f"C{r * 1.05:.1f} {y + r * 1.5:.1f} {r * 1.05:.1f} {y + r * 1.2:.1f} {r * 0.72:.1f} "
            f"{y + r * 0.96:.1f} A{r * 1.2:.1f} {r * 1.2:.1f} 0 0 0 {r * 0.98:.1f} {y - r * 0.5:.1f} "
            f"Z"
        )
    else:
        return
    _shell(sheet, plate, d, shell, s.lower, lay.scale)
    if plate.kind == "archtop":
        sheet.path(d, fill="none", stroke=plate.binding, stroke_width=1.6)


def _shell(sheet: Sheet, plate: Plate, d: str, tone: str, wide: float, low: float) -> None:
    """Mottled celluloid in the outline `d`; each spot is the outline itself, painted around another point."""
    dice = Random(plate.seed * 7 + 4)
    lit = sheet.linear(
        0, low - 260, wide, low, (0, mix(tone, "#ffffff", 0.24)), (0.4, tone), (1, mix(tone, "#000000", 0.4))
    )
    sheet.path(d, fill=lit, stroke="#120a06", stroke_width=0.6)
    for _ in range(6):
        x, y, r = dice.uniform(36, wide * 0.5), low - dice.uniform(20, 210), dice.uniform(14, 34)
        sheet.path(
            d, fill=sheet.radial(x, y, r, (0, "#b5652c", 0.34), (0.6, "#8a3f18", 0.2), (1, "#b5652c", 0))
        )


def _scratches(sheet: Sheet, plate: Plate, lay: Layout, d: str) -> None:
    """Marks of use around the sound hole and below the bridge, as many as the piece is worn."""
    dice, s, points = Random(plate.seed * 7 + 5), lay.shape, inset(flatten(d), 6)
    for _ in range(round(44 * plate.wear)):
        x, y = (
            dice.gauss(s.lower * 0.25, s.lower * 0.4),
            lay.scale - dice.gauss(s.length * 0.16, s.length * 0.18),
        )
        dx, dy, width, fade = (
            dice.gauss(0, 9),
            dice.gauss(4, 7),
            dice.uniform(0.15, 0.5),
            dice.uniform(0.1, 0.4),
        )
        tone = "#fff2d8" if dice.random() < 0.5 else "#2a1306"
        if inside((x, y), points) and inside((x + dx, y + dy), points):
            look: dict[str, str | float] = {"stroke_width": round(width, 2), "stroke_opacity": round(fade, 2)}
            sheet.path(
                f"M{x:.1f} {y:.1f} q{dx:.1f} {dy / 3:.1f} {dx:.1f} {dy:.1f}", fill="none", stroke=tone, **look
            )


def _scroll_button(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    size, t = lay.shape.length / 318, lay.body_top
    x, y, r = -73 * size, t + 39 * size, 15 * size
    d = (
        f"M{x + 19 * size:.1f} {t + 58 * size:.1f} C{x + 26 * size:.1f} {y + 2:.1f} {x + 14 * size:.1f} "
        f"{y - 22 * size:.1f} {x - 4 * size:.1f} {y - 18 * size:.1f}"
    )
    sheet.path(
        d, fill="none", stroke="#150a05", stroke_width=2.2 * size, stroke_opacity=0.6, stroke_linecap="round"
    )
    lit = sheet.radial(
        x - r * 0.3, y - r * 0.4, r * 1.3, (0, "#fff", 0.35), (0.6, "#fff", 0.0), (1, "#000", 0.4)
    )
    sheet.circle(x, y, r, fill=lit, stroke=plate.binding, stroke_width=1.6 * size)
