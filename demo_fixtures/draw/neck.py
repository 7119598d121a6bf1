"""The fingerboard with its frets and inlays, the nut, and the strings."""

from random import Random

from demo_fixtures.draw.fittings import BONE, band, bar, inlay, metal, post, screw, soft_shadow
from demo_fixtures.draw.geometry import flatten
from demo_fixtures.draw.layout import Layout, String, fret_y, half_width, strings, tuner_posts
from demo_fixtures.draw.outlines import bass_edge, board_end, fingerboard
from demo_fixtures.draw.plate import Plate
from demo_fixtures.draw.svg import Sheet, mix


def board_colour(plate: Plate) -> str:
    """Ebony or one of two rosewoods, by the seed."""
    return ("#211a17", "#3c2218", "#2d1d17")[plate.seed % 3]


def draw_board(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The fingerboard with everything let into it."""
    d, end, colour = fingerboard(plate, lay), board_end(lay), board_colour(plate)
    wide = half_width(lay, end) + 8
    _shadow_on_body(sheet, plate, lay)
    shade = (
        (0, mix(colour, "#000000", 0.5)),
        (0.22, mix(colour, "#c9a07c", 0.16)),
        (0.45, mix(colour, "#ffffff", 0.1)),
    )
    sheet.path(
        d, fill=sheet.linear(-wide, 0, wide, 0, *shade, (0.8, colour), (1, mix(colour, "#000000", 0.55)))
    )
    _streaks(sheet, plate, lay, colour)
    _play_wear(sheet, plate, lay)
    _edges(sheet, plate, d)
    _inlays(sheet, plate, lay)
    _frets(sheet, plate, lay)
    if plate.variant == "five-string" and sheet.sees(fret_y(lay.scale, 4), fret_y(lay.scale, 6)):
        _fifth_peg(sheet, plate, lay)


def _shadow_on_body(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    y, end = lay.body_top + (8 if plate.kind != "banjo" else 14), board_end(lay)
    if sheet.sees(y, end + 10) and end > y + 4:
        a, b = half_width(lay, y), half_width(lay, end)
        d = f"M{-a:.1f} {y:.1f} L{a:.1f} {y:.1f} L{b:.1f} {end:.1f} L{-b:.1f} {end:.1f} Z"
        soft_shadow(sheet, d, 2.4, 2.8, 2.2, 0.55)


def _streaks(sheet: Sheet, plate: Plate, lay: Layout, colour: str) -> None:
    dice, end = Random(plate.seed * 7 + 1), board_end(lay)
    for _ in range(60):
        y, long = dice.uniform(2, end - 40), dice.uniform(40, 200)
        x, bend = dice.uniform(-0.94, 0.94) * half_width(lay, y), dice.uniform(-0.8, 0.8)
        long = min(long, end - y)
        tone = mix(colour, "#000000", 0.6) if dice.random() < 0.6 else mix(colour, "#b98a62", 0.5)
        d = f"M{x:.2f} {y:.1f} q{bend:.2f} {long / 2:.1f} {bend * 0.4:.2f} {long:.1f}"
        look = {
            "stroke_width": round(dice.uniform(0.2, 0.9), 2),
            "stroke_opacity": round(dice.uniform(0.12, 0.4), 2),
        }
        sheet.path(d, fill="none", stroke=tone, **look)


def _play_wear(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """Paler hollows under the strings in the first positions, as much as the piece is worn."""
    dice = Random(plate.seed * 7 + 2)
    for fret in range(1, 6):
        y = (fret_y(lay.scale, fret) + fret_y(lay.scale, fret - 1)) / 2
        for _ in range(3):
            x = dice.uniform(-0.8, 0.8) * lay.nut
            fade = sheet.radial(x, y, 8, (0, "#c9a27a", round(0.34 * plate.wear, 2)), (1, "#c9a27a", 0))
            sheet.ellipse(x, y, 4.4, 7.5, fill=fade)


def _edges(sheet: Sheet, plate: Plate, d: str) -> None:
    if plate.inlay in ("dot", "none") and plate.kind in ("flat-top", "ukulele") and plate.seed % 2:
        sheet.path(d, fill="none", stroke="#000", stroke_width=0.6, stroke_opacity=0.6)
        return
    for inner, wide, tone in (
        (1.8, 0.5, "#16100c"),
        (0, 1.8, plate.binding),
        (0, 0.35, mix(plate.binding, "#5a3c14", 0.5)),
    ):
        band(sheet, flatten(d), inner, wide, tone)


def marked_frets(plate: Plate, lay: Layout) -> tuple[int, ...]:
    """The frets before which an inlay lies: guitars mark the ninth, the others the tenth."""
    second = 9 if plate.kind in ("flat-top", "archtop") else 10
    return tuple(
        fret
        for fret in (1, 3, 5, 7, second, 12, 15, 17, 19)
        if fret < lay.frets and (fret > 1 or plate.inlay == "block")
    )


def _inlays(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    for fret in marked_frets(plate, lay):
        upper, lower = fret_y(lay.scale, fret - 1), fret_y(lay.scale, fret)
        if not sheet.sees(upper, lower):
            continue
        y, wide, tall = (upper + lower) / 2, half_width(lay, upper) * 1.28, (lower - upper) * 0.62
        x = -3.0 if plate.variant == "five-string" and fret > 5 else 0
        if plate.inlay == "dot" and fret == 12:
            for side in (-1, 1):
                inlay(sheet, plate, x + side * wide * 0.27, y, wide, tall, fret + side)
        else:
            inlay(sheet, plate, x, y, wide, tall, fret)


def _frets(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    light, middle, dark = metal(plate)
    for fret in range(1, lay.frets + 1):
        y = fret_y(lay.scale, fret)
        if not sheet.sees(y - 3, y + 3):
            continue
        left, right = -bass_edge(plate, lay, y) + 0.7, half_width(lay, y) - 0.7
        d = f"M{left:.2f} {y:.2f} H{right:.2f}"
        sheet.path(
            f"M{left:.2f} {y + 0.75:.2f} H{right:.2f}", stroke="#000", stroke_width=1.5, stroke_opacity=0.55
        )
        sheet.path(d, stroke=mix(dark, middle, 0.5), stroke_width=1.9, stroke_linecap="round")
        sheet.path(d, stroke=middle, stroke_width=1.3, stroke_linecap="round")
        sheet.path(f"M{left:.2f} {y - 0.25:.2f} H{right:.2f}", stroke=light, stroke_width=0.5)


def _fifth_peg(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    y = fret_y(lay.scale, 5)
    x = -bass_edge(plate, lay, y) - 4
    sheet.rect(x - 9, y - 4.2, 12, 2.6, fill=bar(sheet, plate, x, y - 4.2, x, y - 1.6))
    sheet.rect(
        x - 19,
        y - 8.4,
        11,
        11.5,
        rx=4.2,
        fill=sheet.linear(x - 19, y - 8, x - 12, y + 3, (0, "#fbf5e4"), (0.5, "#eadfbe"), (1, "#9c8558")),
    )
    post(sheet, plate, x + 2.4, y - 2.6, 1.7)
    screw(sheet, plate, -bass_edge(plate, lay, y + 4) + 2.6, y + 7.4, 1.5)


def draw_nut(sheet: Sheet, lay: Layout) -> None:
    """The nut, a rounded bar of bone across the end of the fingerboard."""
    wide = lay.nut + 0.4
    paint = sheet.linear(0, -5.2, 0, 0.4, (0, "#b9a87e"), (0.3, "#fbf6e6"), (0.6, BONE), (1, "#a08e63"))
    sheet.rect(-wide, 0, wide * 2, 1.6, fill="#000", fill_opacity=0.4)
    sheet.rect(-wide, -5.2, wide * 2, 5.6, rx=0.9, fill=paint)


def string_paths(plate: Plate, lay: Layout, tail_y: float, tail_wide: float) -> list[tuple[String, str]]:
    """Each string with its way from the post over nut and bridge to where it is fastened (`tail_y` mm)."""
    posts, found = iter(tuner_posts(plate)), []
    for string in strings(plate):
        x, y = string.start
        way = f"M{x:.2f} {y:.2f}"
        if y == 0:
            px, py, side = next(posts)
            way = f"M{px - side * 1.6:.2f} {py:.2f} L{x:.2f} -2.6 L{x:.2f} 0"
        end = string.end[0]
        tail = end if tail_y <= lay.scale else end * tail_wide
        found.append((string, f"{way} L{end:.2f} {lay.scale:.2f} L{tail:.2f} {tail_y:.2f}"))
    return found


def draw_strings(sheet: Sheet, plate: Plate, lay: Layout, tail_y: float, tail_wide: float = 0.8) -> None:
    """The strings and the thin shadow under each; every string is one path of class `string`."""
    found = string_paths(plate, lay, tail_y, tail_wide)
    for string, d in found:
        look: dict[str, str | float] = {
            "fill": "none",
            "stroke_width": string.gauge * 1.1,
            "stroke_opacity": 0.34,
        }
        sheet.path(d, stroke="#000", transform="translate(1.3 1.5)", **look)
    for string, d in found:
        tone = _string_colour(plate, string)
        sheet.path(
            d, class_="string", fill="none", stroke=tone, stroke_width=string.gauge, stroke_linejoin="round"
        )
        sheet.path(
            d, fill="none", stroke=mix(tone, "#ffffff", 0.7), stroke_width=round(string.gauge * 0.34, 2),
            transform=f"translate({-string.gauge * 0.14:.2f} 0)",
        )  # fmt: skip


def _string_colour(plate: Plate, string: String) -> str:
    if plate.kind == "ukulele":
        return "#d8cfb8"
    if not string.wound:
        return "#a9a9a7"
    return "#a3773f" if plate.kind in ("flat-top", "mandolin") else "#8d8b86"
