"""The peghead, seen from the front and from the back."""

from demo_fixtures.draw.fittings import band, bar, button, dome, inlay, metal, post, screw, soft_shadow
from demo_fixtures.draw.geometry import flatten
from demo_fixtures.draw.layout import Layout, tuner_posts
from demo_fixtures.draw.outlines import peghead
from demo_fixtures.draw.plate import Plate
from demo_fixtures.draw.svg import CLEAR, Sheet, mix

GEARED = ("flat-top", "archtop", "mandolin")


def _button_size(plate: Plate, lay: Layout) -> float:
    rows = len(tuner_posts(plate)) // 2
    return min(13.0, lay.peghead[1] * 0.55 / max(1, rows - 1) * 0.62, lay.peghead[0] * 0.36)


def _edge(lay: Layout) -> float:
    return lay.peghead[0] * 0.82


def draw_buttons(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The buttons that stand out beside the peghead; straight pegs show none from the front."""
    if plate.kind not in GEARED:
        return
    size = _button_size(plate, lay)
    for _, y, side in tuner_posts(plate):
        button(sheet, plate, side * _edge(lay), y - 2, side, size)


def draw_head(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The front of the peghead: veneer, binding, inlay, the maker's name and the posts."""
    d, (wide, long) = peghead(plate, lay), lay.peghead
    draw_buttons(sheet, plate, lay)
    veneer = ("#1b1614", "#2a1712", "#1d1817")[plate.seed % 3]
    lit = sheet.linear(
        -wide,
        -long,
        wide,
        0,
        (0, mix(veneer, "#ffffff", 0.26)),
        (0.3, mix(veneer, "#ffffff", 0.1)),
        (1, veneer),
    )
    sheet.path(d, fill=lit, stroke="#0c0908", stroke_width=0.8)
    sheen = ((0.2, "#fff", 0), (0.36, "#fff", 0.15), (0.5, "#fff", 0))
    sheet.path(d, fill=sheet.linear(-wide, -long, wide * 0.6, -long * 0.3, *sheen))
    if plate.inlay not in ("dot", "none"):
        band(sheet, flatten(d), 0, 2.2, plate.binding)
        band(sheet, flatten(d), 0, 0.5, "#1a120c", stroke_opacity=0.4)
    _name(sheet, plate, lay)
    for x, y, _ in tuner_posts(plate):
        post(sheet, plate, x, y, 3.1 if lay.scale > 500 else 2.5)


def _name(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    wide, long = lay.peghead
    size = min(7.4, wide * 2.6 / max(6, len(plate.label)))
    look: dict[str, str | float] = {
        "font_family": "Libertinus Serif",
        "font_style": "italic",
        "fill": "#e9dcae",
    }
    sheet.text(0, -long * 0.862, plate.label, font_size=round(size, 2), **look)
    inlay(sheet, plate, 0, -long * 0.53, wide * 0.5, wide * 0.62, plate.seed)
    if plate.inlay in ("floral", "diamond", "block"):
        inlay(sheet, plate, 0, -long * 0.32, wide * 0.3, wide * 0.4, plate.seed + 1)
        inlay(sheet, plate, 0, -long * 0.74, wide * 0.26, wide * 0.32, plate.seed + 2)


def draw_head_back(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The back of the peghead, as seen from behind: wood, tuners with their gears, the stamp."""
    d, (wide, long) = peghead(plate, lay), lay.peghead
    draw_buttons(sheet, plate, lay)
    sheet.path(
        d, fill=plate.back, fill_opacity=CLEAR, stroke=mix(plate.back, "#000000", 0.6), stroke_width=0.9
    )
    for reach in (3.5, 2.5, 1.5):
        band(sheet, flatten(d), 0, reach, "#000", stroke_opacity=0.09)
    shade = ((0, "#fff", 0.2), (0.35, "#fff", 0.05), (0.75, "#000", 0.05), (1, "#000", 0.3))
    sheet.path(d, fill=sheet.linear(-wide, -long, wide, 0, *shade))
    if plate.kind in GEARED:
        _gears(sheet, plate, lay)
    else:
        _pegs(sheet, plate, lay)
    look: dict[str, str | float] = {
        "font_family": "DejaVu Sans Mono",
        "font_size": min(wide * 0.17, wide * 2.1 / max(1, len(plate.serial))),
        "fill": "#1a0d06",
    }
    sheet.text(0.25, -long * 0.89 + 0.25, plate.serial, fill_opacity=0.35, **{**look, "fill": "#fff"})
    sheet.text(0, -long * 0.89, plate.serial, fill_opacity=0.8, **look)


def _gears(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    posts = tuner_posts(plate)
    light, middle, dark = metal(plate)
    upper, lower = min(y for _, y, _ in posts) - 9, max(y for _, y, _ in posts) + 9
    for side in (-1, 1):
        x = side * lay.peghead[0] * 0.5
        d = f"M{x - 6:.2f} {upper:.2f} h12 v{lower - upper:.2f} h-12 Z"
        soft_shadow(sheet, d, 0.8, 1.0, 0.9)
        face = sheet.linear(
            x - 6, upper, x + 6, lower, (0, light), (0.3, middle), (0.5, light), (0.8, middle), (1, dark)
        )
        sheet.path(d, fill=face, stroke=dark, stroke_width=0.4)
        sheet.rect(x - 5, upper + 1, 10, lower - upper - 2, fill="none", stroke=dark, stroke_width=0.25)
        for y in (upper + 3, lower - 3):
            screw(sheet, plate, x, y, 1.5, 20 + y)
    for _, y, side in posts:
        _worm(sheet, plate, side * lay.peghead[0] * 0.5, y, side, _edge(lay))


def _worm(sheet: Sheet, plate: Plate, x: float, y: float, side: int, edge: float) -> None:
    dark = metal(plate)[2]
    reach = abs(edge - abs(x)) + 4
    left = x if side > 0 else x - reach
    sheet.rect(left, y - 4.6, reach, 2.8, fill=bar(sheet, plate, x, y - 4.6, x, y - 1.8))
    for tooth in range(7):
        sheet.rect(x - 5.2 + tooth * 1.5, y - 5.2, 0.8, 4, fill=bar(sheet, plate, x, y - 5.2, x, y - 1.2))
    dome(sheet, plate, x, y + 1.6, 4.2)
    ring = 2 * 3.1416 * 3.9 / 44
    sheet.circle(x, y + 1.6, 3.9, fill="none", stroke=dark, stroke_width=0.9, stroke_dasharray=f"{ring:.3f}")
    screw(sheet, plate, x, y + 1.6, 1.7, 40 + y * 3)


def _pegs(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """Straight pegs stand towards the viewer: a collar and, over it, the button seen from its end."""
    size = _button_size(plate, lay) * (1.0 if plate.kind == "banjo" else 0.85)
    for x, y, side in tuner_posts(plate):
        dome(sheet, plate, x, y, size * 0.74)
        d = (
            f"M{x - size:.2f} {y:.2f} a{size:.2f} {size * 0.56:.2f} 0 1 1 {2 * size:.2f} 0 a{size:.2f} "
            f"{size * 0.56:.2f} 0 1 1 {-2 * size:.2f} 0 Z"
        )
        with sheet.group(transform=f"rotate({side * (18 + y % 23):.0f} {x:.2f} {y:.2f})"):
            soft_shadow(sheet, d, 1.6, 2.2, 1.4)
            ivory = ((0, "#fdf7e6"), (0.45, "#ece0bf"), (1, "#8f7a50"))
            dark = ((0, "#7a6a5c"), (0.4, "#2c231d"), (1, "#0d0a08"))
            paint = sheet.linear(
                x - size,
                y - size * 0.5,
                x + size * 0.6,
                y + size * 0.6,
                *(ivory if plate.metal != "aged" else dark),
            )
            sheet.path(d, fill=paint, stroke="#1b120c", stroke_width=0.3)
        screw(sheet, plate, x, y, size * 0.2, 15 + y * 5)
