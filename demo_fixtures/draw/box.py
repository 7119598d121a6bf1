"""The open case from above: the lined tray that takes the instrument, and the lid folded back behind it."""

from random import Random

from demo_fixtures.draw.fittings import bar
from demo_fixtures.draw.layout import Layout
from demo_fixtures.draw.outlines import body
from demo_fixtures.draw.plate import Plate
from demo_fixtures.draw.svg import Sheet, mix

LININGS = ("#6b1f2a", "#2f4a3a", "#a87c35", "#28354f", "#7d3a4c", "#4b3423")
COVERS = ("#2a221e", "#3b2a20", "#211f22", "#4a3a2c")
RIM = 26.0


def lining(plate: Plate) -> str:
    """The colour of the plush, by the seed."""
    return LININGS[Random(plate.seed * 7 + 3).randrange(len(LININGS))]


def reach(plate: Plate, lay: Layout) -> float:
    """Half the height of the tray in mm as it lies on its side."""
    return lay.shape.lower + (31 if plate.resonator else 8) + RIM + 14


def draw_case(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """Lid above, tray below; the instrument lies on its axis y = 0 with the head to the left."""
    high = 2 * reach(plate, lay) - 1
    with sheet.group(transform=f"translate(0 {-high:.1f}) scale(1 -1)"):
        _shell(sheet, plate, lay, lid=True)
    _hinges(sheet, plate, lay, -high / 2)
    _shell(sheet, plate, lay, lid=False)
    _latches(sheet, plate, lay)


def _outline(plate: Plate, lay: Layout) -> str:
    """The way around the instrument: the body, and a bar that covers neck and peghead."""
    wide, deep = lay.peghead[0] + 8, lay.body_top + lay.shape.length * 0.5
    full = min(lay.shape.lower * 0.8, wide * 1.9)
    neck = (
        f"M{-wide:.1f} {-lay.peghead[1] - 8:.1f} L{wide:.1f} {-lay.peghead[1] - 8:.1f} "
        f"L{full:.1f} {deep:.1f} L{-full:.1f} {deep:.1f} Z"
    )
    return f"{neck} {body(plate, lay)}"


def _shell(sheet: Sheet, plate: Plate, lay: Layout, *, lid: bool) -> None:
    d, plush = _outline(plate, lay), lining(plate)
    cover, extra = COVERS[plate.seed % len(COVERS)], 31 if plate.resonator else 8
    outer, inner = 2 * (RIM + 14 + extra), 2 * (RIM - 8 + extra)
    lit = mix(plush, "#ffffff", 0.1 if lid else 0.0)
    with sheet.group(transform="rotate(-90)"):
        for wide, tone in (
            (outer, mix(cover, "#000000", 0.4)),
            (outer - 3, mix(cover, "#ffffff", 0.14)),
            (outer - 9, cover),
            (inner + 6, "#c8b27c"),
            (inner + 3, mix(plush, "#000000", 0.4)),
        ):
            sheet.path(d, fill=tone, stroke=tone, stroke_width=wide, stroke_linejoin="round")
        for step in range(8):
            share = step / 8
            tone = mix(mix(plush, "#000000", 0.5), lit, share)
            sheet.path(
                d, fill=tone, stroke=tone, stroke_width=max(0.1, inner - share * 30), stroke_linejoin="round"
            )
        _velvet(sheet, plate, lay, d, inner - 30)


def _velvet(sheet: Sheet, plate: Plate, lay: Layout, d: str, inner: float) -> None:
    """The nap of the plush: it shines along the middle and darkens towards the walls."""
    s, plush = lay.shape, lining(plate)
    y = lay.body_top + s.length * 0.62
    nap = (
        (0, mix(plush, "#ffffff", 0.26)),
        (0.5, mix(plush, "#ffffff", 0.08)),
        (1, mix(plush, "#000000", 0.12)),
    )
    shine = sheet.radial(-s.lower * 0.2, y, s.length * 1.1, *nap)
    sheet.path(d, fill=shine, stroke=shine, stroke_width=inner, stroke_linejoin="round")


def _hinges(sheet: Sheet, plate: Plate, lay: Layout, y: float) -> None:
    middle = lay.body_top + lay.shape.length * 0.66
    for x in (middle - 70, middle + 50):
        sheet.rect(
            x,
            y - 9,
            26,
            18,
            rx=3,
            fill=bar(sheet, plate, 0, y - 11, 0, y + 11),
            stroke="#2b2623",
            stroke_width=0.5,
        )


def _latches(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    edge, middle = reach(plate, lay) - 4, lay.body_top + lay.shape.length * 0.68
    for x in (middle - 74, middle + 52):
        sheet.rect(
            x,
            edge - 6,
            22,
            15,
            rx=2.4,
            fill=bar(sheet, plate, 0, edge - 6, 0, edge + 9),
            stroke="#2b2623",
            stroke_width=0.5,
        )
    d = f"M{middle - 36:.1f} {edge + 2:.1f} q0 15 14 15 h30 q14 0 14 -15"
    for tone, wide in (("#1b1411", 8), ("#4a382c", 5.4), ("#7a6250", 1.6)):
        sheet.path(d, fill="none", stroke=tone, stroke_width=wide, stroke_linecap="round")
