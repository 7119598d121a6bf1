"""The instrument from its side, top upwards: x runs along it from the nut, y down through its depth."""

from math import cos, pi, sin

from demo_fixtures.draw.bridge import has_tailpiece
from demo_fixtures.draw.face import is_carved
from demo_fixtures.draw.fittings import bar, dome, metal, soft_shadow
from demo_fixtures.draw.layout import Layout, fret_y
from demo_fixtures.draw.neck import board_colour
from demo_fixtures.draw.outlines import board_end
from demo_fixtures.draw.plate import Plate
from demo_fixtures.draw.svg import CLEAR, Sheet, mix


def draw_side(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The whole profile; the frame decides how much of the neck is seen."""
    _neck(sheet, plate, lay)
    if plate.kind == "banjo":
        _pot(sheet, plate, lay)
    else:
        _body(sheet, plate, lay)
    _board(sheet, plate, lay)
    _strings(sheet, plate, lay)


def _neck(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    t, deep = lay.body_top, min(62.0, lay.shape.depth * 0.84)
    thick = 15 if lay.scale > 500 else 11
    d = (
        f"M-10 -1 H{t + 2:.1f} V{deep:.1f} H{t - 12:.1f} C{t - 16:.1f} {deep * 0.55:.1f} {t - 30:.1f} "
        f"{thick + 4:.1f} {t - 70:.1f} {thick + 1:.1f} L20 {thick - 2:.1f} "
        f"C0 {thick - 2:.1f} -14 {thick + 6:.1f} -26 {thick + 9:.1f} L-190 {thick + 42:.1f} "
        f"V{thick + 28:.1f} L-30 -1 Z"
    )
    sheet.path(
        d, fill=plate.back, fill_opacity=CLEAR, stroke=mix(plate.back, "#000000", 0.6), stroke_width=0.7
    )
    sheet.path(
        d,
        fill=sheet.linear(
            0, 0, 0, deep, (0, "#fff", 0.2), (0.2, "#fff", 0.02), (0.5, "#000", 0.2), (1, "#000", 0.45)
        ),
    )
    sheet.rect(t - 13, deep - 2.4, 15, 2.4, fill=plate.binding)


def _profile(plate: Plate, lay: Layout) -> tuple[str, str]:
    """The outline of the body, and that of its flat ribs between the two edges."""
    s, t = lay.shape, lay.body_top
    end, deep = t + s.length, s.depth
    if plate.body == "bowl":
        d = (
            f"M{t:.1f} 0 H{end:.1f} C{end + 6:.1f} {deep * 0.5:.1f} {end - 30:.1f} {deep:.1f} "
            f"{t + s.length * 0.66:.1f} {deep:.1f} C{t + s.length * 0.36:.1f} {deep:.1f} {t + 20:.1f} "
            f"{deep * 0.5:.1f} {t - 4:.1f} 12 Z"
        )
        return d, d
    taper = deep * (0.9 if plate.kind in ("flat-top", "ukulele") else 1.0)
    bow = 3.0 if not is_carved(plate) else 0
    ribs = (
        f"M{t:.1f} 0 Q{(t + end) / 2:.1f} {-bow:.1f} {end:.1f} 0 V{deep:.1f} "
        f"Q{(t + end) / 2:.1f} {deep + bow * 2:.1f} {t:.1f} {taper:.1f} "
        f"Z"
    )
    if not is_carved(plate):
        return ribs, ribs
    rise = 17 if plate.kind == "archtop" else 12
    whole = (
        f"M{t:.1f} 0 h14 C{t + s.length * 0.3:.1f} {-rise:.1f} {end - s.length * 0.3:.1f} "
        f"{-rise * 1.35:.1f} {end - 14:.1f} 0 h14 V{deep:.1f} h-14 C{end - s.length * 0.3:.1f} "
        f"{deep + rise:.1f} {t + s.length * 0.3:.1f} {deep + rise:.1f} {t + 14:.1f} {deep:.1f} "
        f"h-14 Z"
    )
    return whole, ribs


def _body(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    whole, ribs = _profile(plate, lay)
    s, t = lay.shape, lay.body_top
    end, deep = t + s.length, s.depth
    if whole != ribs:
        lit = sheet.linear(
            0,
            -16,
            0,
            deep + 16,
            (0, mix(plate.top, "#ffffff", 0.25)),
            (0.18, mix(plate.top, "#000000", 0.2)),
            (0.8, mix(plate.back, "#000000", 0.4)),
            (1, mix(plate.back, "#000000", 0.1)),
        )
        sheet.path(whole, fill=lit, stroke="#1a0d06", stroke_width=0.7)
    sheet.path(
        ribs, fill=plate.back, fill_opacity=CLEAR, stroke=mix(plate.back, "#000000", 0.6), stroke_width=0.8
    )
    _curve_of_ribs(sheet, plate, lay, ribs)
    if plate.body == "bowl":
        _staves(sheet, plate, lay)
    _bindings(sheet, plate, lay)
    dome(sheet, plate, end + 2, deep * 0.46, 4.6)
    sheet.rect(
        end, deep * 0.46 - 1.6, 8, 3.2, fill=bar(sheet, plate, 0, deep * 0.46 - 1.6, 0, deep * 0.46 + 1.6)
    )


def _bindings(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The bound edges of top and back, seen from their side."""
    s, shrink = lay.shape, 0.7 if plate.kind in ("ukulele", "mandolin") else 1.0
    edges = [(1.0, 0.0)] if plate.body == "bowl" else [(1.0, 0.0), (-1.0, s.depth)]
    for inward, y in edges:
        for deep, wide, tone in (
            (7.4, 1.2, "#1a110b"),
            (3.4, 6.8, plate.binding),
            (0.6, 1.2, mix(plate.binding, "#3a2408", 0.4)),
        ):
            sheet.path(
                _edge(plate, lay, y + inward * deep * shrink),
                stroke=tone,
                stroke_width=wide * shrink,
                fill="none",
            )


def _edge(plate: Plate, lay: Layout, y: float) -> str:
    """A line along the ribs at depth `y`, bowed and tapered as they are."""
    s, t = lay.shape, lay.body_top
    end, share = t + s.length, y / s.depth
    if is_carved(plate) or plate.body == "bowl":
        return f"M{t:.1f} {y:.1f} L{end:.1f} {y:.1f}"
    taper = y * (0.9 if plate.kind in ("flat-top", "ukulele") else 1.0)
    return f"M{t:.1f} {taper:.1f} Q{(t + end) / 2:.1f} {y - 3 + 9 * share:.1f} {end:.1f} {y:.1f}"


def _curve_of_ribs(sheet: Sheet, plate: Plate, lay: Layout, ribs: str) -> None:
    """Light on the bouts and shade in the waist, as the ribs turn towards the viewer and away."""
    s, t = lay.shape, lay.body_top
    waist = s.y_waist / s.length
    stops = (
        (0, "#000", 0.6),
        (0.1, "#fff", 0.12),
        (0.2, "#fff", 0.24),
        (waist, "#000", 0.36),
        (0.62, "#fff", 0.26),
        (0.8, "#fff", 0.06),
        (0.93, "#000", 0.36),
        (1, "#000", 0.65),
    )
    pear = (
        (0, "#000", 0.5),
        (0.3, "#000", 0.1),
        (0.62, "#fff", 0.28),
        (0.85, "#000", 0.14),
        (1, "#000", 0.6),
    )
    turn = pear if plate.kind == "mandolin" else stops
    sheet.path(ribs, fill=sheet.linear(t, 0, t + s.length, 0, *turn))
    sheet.path(
        ribs, fill=sheet.linear(0, 0, 0, s.depth, (0, "#fff", 0.18), (0.4, "#fff", 0), (1, "#000", 0.3))
    )


def _staves(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    s, t = lay.shape, lay.body_top
    end = t + s.length
    for stave in range(1, 7):
        y = s.depth * stave / 6.6
        d = (
            f"M{t:.1f} {6 + stave:.1f} C{t + s.length * 0.3:.1f} {y:.1f} {t + s.length * 0.5:.1f} {y:.1f} "
            f"{t + s.length * 0.68:.1f} {y:.1f} C{end - 50:.1f} {y:.1f} {end - 10:.1f} {y * 0.8:.1f} "
            f"{end:.1f} {y * 0.5:.1f}"
        )
        sheet.path(d, fill="none", stroke="#000", stroke_width=4, stroke_opacity=0.12)
        sheet.path(d, fill="none", stroke=mix(plate.binding, plate.back, 0.2), stroke_width=0.9)


def _board(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    end, tone = board_end(lay), board_colour(plate)
    lift = 4 if plate.kind == "archtop" or plate.body == "carved-scroll" else 0
    sheet.rect(
        0,
        -6 - lift,
        end,
        6,
        fill=sheet.linear(
            0, -6 - lift, 0, -lift, (0, mix(tone, "#ffffff", 0.3)), (0.3, tone), (1, "#0c0806")
        ),
    )
    sheet.rect(0, -3.2 - lift, end, 2.4, fill=plate.binding, fill_opacity=0.85)
    light, _, dark = metal(plate)
    for fret in range(1, lay.frets + 1):
        x = fret_y(lay.scale, fret)
        sheet.rect(
            x - 0.9,
            -7.4 - lift,
            1.8,
            1.7,
            rx=0.8,
            fill=sheet.linear(x - 1, 0, x + 1, 0, (0, light), (1, dark)),
        )
    for fret in (3, 5, 7, 10 if plate.kind not in ("flat-top", "archtop") else 9, 12):
        x = (fret_y(lay.scale, fret) + fret_y(lay.scale, fret - 1)) / 2
        sheet.circle(x, -2 - lift, 0.9, fill="#1a110b")
    sheet.rect(-5, -9 - lift, 5, 9 + lift, rx=1, fill="#ece2c6", stroke="#8f7e55", stroke_width=0.3)


def _bridge_height(plate: Plate, lay: Layout) -> float:
    if plate.kind == "banjo":
        return 24
    return (34 if plate.kind == "archtop" else 25) if is_carved(plate) else 15


def _strings(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    high, y, end = _bridge_height(plate, lay), lay.scale, lay.body_top + lay.shape.length
    foot = -11 if is_carved(plate) else -1
    d = f"M{y - 7:.1f} {foot:.1f} L{y - 2.2:.1f} {-high:.1f} H{y + 1.4:.1f} L{y + 8:.1f} {foot:.1f} Z"
    sheet.path(d, fill=sheet.linear(y - 7, 0, y + 8, 0, (0, "#5d4330"), (0.4, "#33231a"), (1, "#120c08")))
    long = has_tailpiece(plate) or plate.kind == "banjo"
    tail = f"L{end - 4:.1f} -7 L{end + 3:.1f} 8" if long else f"L{y + 6:.1f} -3"
    for shift, tone in ((0.9, "#5d5a55"), (0, "#d9d6ce")):
        sheet.path(
            f"M-190 {30 + shift:.1f} L-2 {-9.4 + shift:.1f} L{y:.1f} {-high + shift:.1f} {tail}",
            fill="none",
            stroke=tone,
            stroke_width=0.9,
        )
    if long:
        _tailpiece(sheet, plate, end)


def _tailpiece(sheet: Sheet, plate: Plate, end: float) -> None:
    _, _, dark = metal(plate)
    d = (
        f"M{end - 52:.1f} -12 L{end + 1:.1f} -6 Q{end + 6:.1f} -4 {end + 6:.1f} 4 "
        f"V26 H{end + 1:.1f} V4 L{end - 52:.1f} -8 Z"
    )
    sheet.path(d, fill=bar(sheet, plate, 0, -12, 0, 26), stroke=dark, stroke_width=0.4)


def _pot(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    s, t = lay.shape, lay.body_top
    end = t + s.length
    if plate.resonator:
        _resonator(sheet, plate, lay)
    rim = f"M{t:.1f} 4 H{end:.1f} V66 H{t:.1f} Z"
    sheet.path(
        rim, fill=mix(plate.back, "#000000", 0.1), fill_opacity=0.6, stroke="#1a0d06", stroke_width=0.7
    )
    sheet.path(
        rim,
        fill=sheet.linear(
            t,
            0,
            end,
            0,
            (0, "#000", 0.66),
            (0.25, "#fff", 0.1),
            (0.42, "#fff", 0.3),
            (0.7, "#000", 0.1),
            (1, "#000", 0.7),
        ),
    )
    sheet.rect(t, 16, s.length, 3, fill=bar(sheet, plate, 0, 16, 0, 19))
    _side_hooks(sheet, plate, t, s.length)
    sheet.rect(
        t - 3,
        0,
        s.length + 6,
        11,
        rx=2,
        fill=bar(sheet, plate, 0, 0, 0, 11),
        stroke="#3a3734",
        stroke_width=0.4,
    )
    sheet.rect(t + 3, -2.4, s.length - 6, 2.6, rx=1.2, fill=mix(plate.top, "#6b5836", 0.15))


def _side_hooks(sheet: Sheet, plate: Plate, t: float, length: float) -> None:
    for step in range(12):
        turn = pi * (step + 0.5) / 12
        x, thin = t + length / 2 - cos(turn) * length / 2, 0.35 + 0.65 * sin(turn)
        wide = 4.2 * thin
        d = f"M{x - wide / 2:.1f} 2 h{wide:.1f} v52 h{-wide:.1f} Z"
        soft_shadow(sheet, d, 1.4, 1, 0.8, 0.5)
        sheet.path(d, fill=bar(sheet, plate, x - wide / 2, 0, x + wide / 2, 0))
        sheet.rect(
            x - 4 * thin,
            40,
            8 * thin,
            9,
            rx=1.2,
            fill=bar(sheet, plate, x - 4 * thin, 0, x + 4 * thin, 0),
            stroke="#2c2926",
            stroke_width=0.3,
        )
        sheet.rect(
            x - 3.2 * thin,
            52,
            6.4 * thin,
            8,
            rx=0.8,
            fill=bar(sheet, plate, x - 3.2 * thin, 0, x + 3.2 * thin, 0),
        )


def _resonator(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    s, t = lay.shape, lay.body_top
    a, b, deep = t - 31, t + s.length + 31, s.depth
    d = (
        f"M{a:.1f} 34 H{b:.1f} V{deep - 20:.1f} Q{b - 8:.1f} {deep:.1f} {b - 70:.1f} {deep + 4:.1f} "
        f"H{a + 70:.1f} Q{a + 8:.1f} {deep:.1f} {a:.1f} {deep - 20:.1f} "
        f"Z"
    )
    sheet.path(d, fill=plate.back, fill_opacity=CLEAR, stroke="#1a0d06", stroke_width=0.8)
    sheet.path(
        d,
        fill=sheet.linear(
            a, 0, b, 0, (0, "#000", 0.6), (0.3, "#fff", 0.26), (0.6, "#fff", 0.02), (1, "#000", 0.6)
        ),
    )
    for y in (34, deep - 24):
        sheet.rect(a, y, b - a, 5, fill=plate.binding, stroke="#1a110b", stroke_width=0.6)
