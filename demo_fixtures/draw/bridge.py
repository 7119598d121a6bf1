"""What carries the strings on a wooden top: the bridge with its saddle and pins, and the tailpiece."""

from demo_fixtures.draw.fittings import BONE, bar, dome, metal, soft_shadow
from demo_fixtures.draw.layout import Layout, strings
from demo_fixtures.draw.outlines import ring
from demo_fixtures.draw.plate import Plate
from demo_fixtures.draw.svg import Sheet, mix


def has_tailpiece(plate: Plate) -> bool:
    """Whether the strings run over the bridge to a tailpiece at the end of the body."""
    return plate.kind in ("archtop", "mandolin")


def tail(plate: Plate, lay: Layout) -> tuple[float, float]:
    """Where the strings are fastened: y in mm, and the spread there as a share of the spread at the bridge."""
    end = lay.body_top + lay.shape.length
    if plate.kind == "archtop":
        return lay.scale + (end - lay.scale) * 0.42, 0.86
    if plate.kind == "mandolin":
        return end - lay.shape.length * 0.085, 0.72
    return lay.scale + lay.scale * 0.014, 1.0


def draw_bridge(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The bridge, and the tailpiece where there is one."""
    if has_tailpiece(plate):
        _tailpiece(sheet, plate, lay)
        _floating_bridge(sheet, plate, lay)
    else:
        _glued_bridge(sheet, plate, lay)


def _glued_bridge(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    spread, y = max(s.end[0] for s in strings(plate)), lay.scale
    wide, small = spread * (2.25 if plate.kind == "flat-top" else 1.75), plate.kind == "ukulele"
    tall = 13.5 if plate.kind == "flat-top" else 8.5
    belly = 7 if plate.seed % 2 and not small else 0
    d = (
        f"M{-wide:.1f} {y - tall * 0.75:.1f} Q0 {y - tall * 0.85:.1f} {wide:.1f} {y - tall * 0.75:.1f} "
        f"Q{wide + 3:.1f} {y:.1f} {wide:.1f} {y + tall * 0.75:.1f} Q{wide * 0.5:.1f} {y + tall:.1f} 0 "
        f"{y + tall + belly:.1f} Q{-wide * 0.5:.1f} {y + tall:.1f} {-wide:.1f} {y + tall * 0.75:.1f} "
        f"Q{-wide - 3:.1f} {y:.1f} {-wide:.1f} {y - tall * 0.75:.1f} Z"
    )
    soft_shadow(sheet, d, 1.6, 2.2, 2)
    tone = ("#241915", "#3d2318")[plate.seed % 2] if not small else mix(plate.back, "#1a0c06", 0.6)
    sheet.path(
        d,
        fill=sheet.linear(
            0,
            y - tall,
            0,
            y + tall + belly,
            (0, mix(tone, "#ffffff", 0.2)),
            (0.3, mix(tone, "#ffffff", 0.08)),
            (1, mix(tone, "#000000", 0.4)),
        ),
        stroke="#0d0806",
        stroke_width=0.5,
    )
    slant = 1.4 if not small else 0
    saddle = f"M{-spread - 5:.1f} {y + slant:.1f} L{spread + 5:.1f} {y - slant:.1f}"
    sheet.path(saddle, stroke="#6d5f42", stroke_width=3.4)
    sheet.path(saddle, stroke=BONE, stroke_width=2.6)
    _pins(sheet, plate, lay, tall)


def _pins(sheet: Sheet, plate: Plate, lay: Layout, tall: float) -> None:
    for number, string in enumerate(strings(plate)):
        x = string.end[0]
        if plate.kind == "ukulele":
            sheet.rect(x - 0.9, lay.scale + 2.4, 1.8, 4.2, fill="#120b08", rx=0.6)
            continue
        y = lay.scale + tall * (0.62 + (0.42 if lay.doubled and number % 2 else 0))
        sheet.circle(x + 0.5, y + 0.8, 3.0, fill="#000", fill_opacity=0.5)
        sheet.circle(
            x, y, 2.8, fill=sheet.radial(x - 1, y - 1, 4, (0, "#fffaf0"), (0.6, BONE), (1, "#8c7a52"))
        )
        sheet.circle(x, y, 0.9, fill="#2b1e14")


def _floating_bridge(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    spread, y = max(s.end[0] for s in strings(plate)), lay.scale
    wide, tall = spread * (1.75 if plate.kind == "archtop" else 1.6), 7.5 if plate.kind == "archtop" else 5
    base = (
        f"M{-wide:.1f} {y - tall * 0.4:.1f} Q0 {y - tall * 1.5:.1f} {wide:.1f} {y - tall * 0.4:.1f} "
        f"Q{wide + 4:.1f} {y + tall * 0.3:.1f} {wide:.1f} {y + tall * 0.8:.1f} "
        f"Q0 {y + tall * 1.25:.1f} {-wide:.1f} {y + tall * 0.8:.1f} Q{-wide - 4:.1f} {y + tall * 0.3:.1f} "
        f"{-wide:.1f} {y - tall * 0.4:.1f} Z"
    )
    soft_shadow(sheet, base, 3, 4, 3)
    sheet.path(
        base,
        fill=sheet.linear(0, y - tall, 0, y + tall * 1.3, (0, "#5a4334"), (0.3, "#2c1f18"), (1, "#0e0907")),
    )
    if plate.kind == "archtop":
        for side in (-1, 1):
            dome(sheet, plate, side * spread * 1.22, y + 1, 5.4)
    top = (
        f"M{-spread - 6:.1f} {y + tall * 0.5:.1f} L{-spread - 4:.1f} {y - tall * 0.5:.1f} "
        f"L{spread + 4:.1f} {y - tall * 0.5:.1f} L{spread + 6:.1f} {y + tall * 0.5:.1f} "
        f"Z"
    )
    sheet.path(
        top,
        fill=sheet.linear(
            0, y - tall * 0.5, 0, y + tall * 0.5, (0, "#8b6d56"), (0.2, "#3a2a21"), (1, "#120c09")
        ),
        stroke="#0a0605",
        stroke_width=0.4,
    )


def _tailpiece(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    y, share = tail(plate, lay)
    end = lay.body_top + lay.shape.length
    wide = max(s.end[0] for s in strings(plate)) * share + 7
    light, middle, dark = metal(plate)
    if plate.kind == "archtop":
        _trapeze(sheet, plate, wide * 0.86, y + 6, end - 6)
    # The shadow stops short of the end: beyond the body it would count as part of the piece, and show wood.
    soft_shadow(sheet, _tail_outline(plate, wide, y, end - 7.5), 3, 4, 3)
    shine = ((0, light), (0.22, middle), (0.4, "#ffffff"), (0.6, middle), (1, dark))
    face = sheet.linear(-wide, y - 14, wide, y + 26, *shine)
    sheet.path(_tail_outline(plate, wide, y, end + 1.5), fill=face, stroke=dark, stroke_width=0.6)
    sheet.path(ring(0, y + 6, wide * 0.24), fill="none", stroke=dark, stroke_width=0.5)
    for string in strings(plate):
        catch = bar(sheet, plate, 0, y - 1.3, 0, y + 1.3)
        sheet.circle(string.end[0] * share, y, 1.3, fill=catch, stroke=dark, stroke_width=0.3)


def _trapeze(sheet: Sheet, plate: Plate, wide: float, upper: float, lower: float) -> None:
    light, middle, dark = metal(plate)
    for side in (-1, 1):
        leg = f"M{side * wide:.1f} {upper:.1f} L{side * 11:.1f} {lower:.1f}"
        sheet.path(leg, stroke="#000", stroke_width=7, stroke_opacity=0.3, transform="translate(4 5)")
        for tone, size in ((dark, 7.0), (middle, 5.4), (light, 1.8)):
            sheet.path(leg, stroke=tone, stroke_width=size, stroke_linecap="round")


def _tail_outline(plate: Plate, wide: float, y: float, low: float) -> str:
    if plate.kind == "archtop":
        return (
            f"M{-wide:.1f} {y - 9:.1f} H{wide:.1f} V{y + 11:.1f} Q0 {y + 24:.1f} {-wide:.1f} {y + 11:.1f} Z"
        )
    upper = f"M{-wide:.1f} {y - 8:.1f} Q0 {y - 20:.1f} {wide:.1f} {y - 8:.1f}"
    return f"{upper} L{wide * 0.82:.1f} {low:.1f} H{-wide * 0.82:.1f} Z"
