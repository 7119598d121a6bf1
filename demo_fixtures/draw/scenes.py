"""Which drawing belongs to which view, and from where it is seen."""

from collections.abc import Callable
from dataclasses import replace
from math import cos, radians, sin

from demo_fixtures.draw import banjo, bridge, face, rear
from demo_fixtures.draw.box import RIM, draw_case, reach
from demo_fixtures.draw.compose import Scene, Wood
from demo_fixtures.draw.flank import draw_side
from demo_fixtures.draw.geometry import circle
from demo_fixtures.draw.head import draw_head
from demo_fixtures.draw.layout import Layout, fret_y, layout_of
from demo_fixtures.draw.neck import draw_board, draw_nut, draw_strings
from demo_fixtures.draw.outlines import board_end
from demo_fixtures.draw.plate import Plate, UnknownView, views_of
from demo_fixtures.draw.rear import draw_back
from demo_fixtures.draw.shading import Box, Light, Relief
from demo_fixtures.draw.svg import Sheet

ANGLE = -90


def scene_for(plate: Plate, view: str) -> Scene:
    """The scene of `view`; raises `UnknownView` when there is none for this kind."""
    if view not in views_of(plate):
        raise UnknownView(f"no view {view!r} of a {plate.kind}; there are {', '.join(views_of(plate))}")
    return _SCENES[view](plate, layout_of(plate))


def draw_front(sheet: Sheet, plate: Plate, lay: Layout) -> None:
    """The whole piece from the front."""
    below = lay.body_top - (35 if plate.kind == "banjo" else 0)
    if sheet.sees(below, lay.body_top + lay.shape.length + 40):
        (banjo.draw_pot if plate.kind == "banjo" else face.draw_body)(sheet, plate, lay)
    if sheet.sees(-10, board_end(lay)):
        draw_board(sheet, plate, lay)
    if sheet.sees(-lay.peghead[1] - 10, 0):
        draw_head(sheet, plate, lay)
        draw_nut(sheet, lay)
    if sheet.sees(lay.scale - 30, lay.body_top + lay.shape.length + 40):
        (banjo if plate.kind == "banjo" else bridge).draw_bridge(sheet, plate, lay)
    tail_y, share = banjo.tail(lay) if plate.kind == "banjo" else bridge.tail(plate, lay)
    draw_strings(sheet, plate, lay, tail_y, share)


def _extent(plate: Plate, lay: Layout) -> Box:
    """The box around the whole piece."""
    wide = (
        max(banjo.outer(plate, lay) if plate.kind == "banjo" else lay.shape.lower, lay.peghead[0] * 1.5) + 3
    )
    top = -lay.peghead[1] - 4
    end = lay.body_top + lay.shape.length + (36 if plate.resonator else 9)
    return -wide, top, wide * 2, end - top


def _woods(plate: Plate, lay: Layout, *, back: bool = False) -> list[Wood]:
    extent = _extent(plate, lay)
    t = lay.body_top - (31 if plate.resonator else 0)
    box = (extent[0], t, extent[2], extent[1] + extent[3] - t)
    if not back:
        name = {"banjo": "skin", "ukulele": "mahogany"}.get(plate.kind, "spruce")
        return [Wood(box, name, plate.top, depth=0.16 if name == "skin" else 0.5)]
    name = back_wood(plate)
    neck = (extent[0], extent[1], extent[2], t - extent[1])
    return [Wood(box, name, plate.back), Wood(neck, "mahogany" if name == "rosewood" else name, plate.back)]


def back_wood(plate: Plate) -> str:
    """The wood of back and sides, by kind and seed."""
    if plate.kind in ("archtop", "banjo") or plate.body.startswith("carved"):
        return "maple"
    return ("mahogany", "rosewood")[plate.seed % 2] if plate.kind != "ukulele" else "mahogany"


def _around(box: Box, margin: float, tall: bool) -> Box:
    """The frame of 3:4 or 4:3 around `box`, with `margin` (a share of the size) on every side."""
    ratio = 0.75 if tall else 4 / 3
    wide = max(box[2], box[3] * ratio) * (1 + 2 * margin)
    high = wide / ratio
    return box[0] + (box[2] - wide) / 2, box[1] + (box[3] - high) / 2, wide, high


def _cut(box: Box, frame: Box) -> Box:
    x, y = max(box[0], frame[0]), max(box[1], frame[1])
    return x, y, min(box[0] + box[2], frame[0] + frame[2]) - x, min(box[1] + box[3], frame[1] + frame[3]) - y


def _window(
    plate: Plate, lay: Layout, frame: Box, *, tall: bool, back: bool = False, lift: float = 9
) -> Scene:
    """A frame over the front or the back of the piece."""
    sheet = Sheet(frame)
    (draw_back if back else draw_front)(sheet, plate, lay)
    woods, ink = _woods(plate, lay, back=back), _cut(_extent(plate, lay), frame)
    shading, lights = _reliefs(plate, lay, back), _lights(plate, lay, back)
    return Scene(sheet, frame, ink, woods, shading, lights, plate.seed, tall, lift)


def _reliefs(plate: Plate, lay: Layout, back: bool) -> list[Relief]:
    if plate.kind != "banjo":
        return rear.reliefs(plate, lay) if back else face.reliefs(plate, lay)
    y, r = banjo.centre(lay)
    if not back:
        return [Relief(circle(0, y, r - 6), 46, "#5a4522", 0.34)]
    return [Relief(circle(0, y, banjo.outer(plate, lay)), 70, "#1a0b04", 0.6)] if plate.resonator else []


def _lights(plate: Plate, lay: Layout, back: bool) -> list[Light]:
    """A round surface catches the light in a spot, a flat one in a slanting sheen."""
    s = lay.shape
    if plate.kind == "banjo":
        y, r = banjo.centre(lay)
        return [Light((-r, y - r, 2 * r, 2 * r), 0.3, 0.12)] if plate.resonator or not back else []
    domed = face.is_carved(plate) or (back and plate.body == "bowl")
    box = (-s.lower, lay.body_top, 2 * s.lower, s.length)
    return [Light(box, 0.4 if domed else 0.14, 0.1 if domed else 0.2)]


def _whole(plate: Plate, lay: Layout) -> Scene:
    return _window(plate, lay, _around(_extent(plate, lay), 0.045, True), tall=True)


def _whole_back(plate: Plate, lay: Layout) -> Scene:
    return _window(plate, lay, _around(_extent(plate, lay), 0.045, True), tall=True, back=True)


def _head_frame(lay: Layout) -> Box:
    wide, long = lay.peghead
    return _around((-wide * 1.4, -long * 1.05, wide * 2.8, long * 1.42), 0.05, True)


def _head(plate: Plate, lay: Layout) -> Scene:
    return _window(plate, lay, _head_frame(lay), tall=True, lift=5)


def _head_back(plate: Plate, lay: Layout) -> Scene:
    return _window(plate, lay, _head_frame(lay), tall=True, back=True, lift=5)


def _fingerboard(plate: Plate, lay: Layout) -> Scene:
    """The first twelve frets, lying from corner to corner."""
    turn = -90 + (27 if plate.seed % 2 else -27)
    reach = fret_y(lay.scale, 10) * 0.5
    sheet = Sheet((-1000, -reach * 0.25, 2000, reach * 2.5))
    with sheet.group(transform=f"rotate({turn})"):
        draw_front(sheet, plate, lay)
    x, y = -reach * sin(radians(turn)), reach * cos(radians(turn))
    wide = reach * 1.68
    frame = (x - wide / 2, y - wide * 0.375, wide, wide * 0.75)
    return Scene(sheet, frame, frame, [Wood(frame, "spruce", plate.top, True)], [], [], plate.seed, lift=6)


def _side(plate: Plate, lay: Layout) -> Scene:
    sheet = Sheet()
    draw_side(sheet, plate, lay)
    t, s = lay.body_top, lay.shape
    left = t - s.length * 0.28
    box = (left, -40, s.length * 1.28 + 22 + (31 if plate.resonator else 0), s.depth + 72)
    frame = _around((left, 0, box[2] - 4, s.depth), 0.02, False)
    ribs = (t - (31 if plate.resonator else 0), -40, s.length + 80, s.depth + 80)
    name = back_wood(plate)
    woods = [
        Wood(ribs, name, plate.back, True),
        Wood((left - 90, -40, t - left + 90, s.depth + 80), "mahogany", plate.back, True),
    ]
    return Scene(
        sheet, frame, (frame[0], -40, box[2] + left - frame[0], box[3]), woods, [], [], plate.seed, lift=12
    )


def _closeup(x: float, y: float, wide: float) -> Box:
    return x - wide / 2, y - wide * 0.375, wide, wide * 0.75


def _bridge(plate: Plate, lay: Layout) -> Scene:
    wide = lay.shape.lower * (1.35 if plate.kind != "banjo" else 1.2)
    return _window(plate, lay, _closeup(0, lay.scale, wide), tall=False)


def _second(plate: Plate, lay: Layout) -> Scene:
    """The other close view: rosette, f-hole, or the hooks of a pot."""
    s = lay.shape
    if plate.kind == "banjo":
        return _window(
            plate, lay, _closeup(s.lower * 0.62, lay.body_top + s.length * 0.86, s.lower * 1.15), tall=False
        )
    if face.has_f_holes(plate):
        return _window(
            plate, lay, _closeup(-s.lower * 0.52, lay.scale - s.length * 0.04, s.lower * 1.25), tall=False
        )
    y, across, _ = face.hole_centre(plate, lay)
    return _window(plate, lay, _closeup(across * 0.7, y, across * 5.0), tall=False)


def _serial(plate: Plate, lay: Layout) -> Scene:
    """Where the number stands: on the label inside, on the dowel, or on the back of the peghead."""
    if plate.kind == "banjo":
        y, r = banjo.centre(lay)
        return _inside(plate, lay, _closeup(0, y, r * 0.72))
    if face.has_f_holes(plate):
        wide, long = lay.peghead
        return _window(plate, lay, _closeup(0, -long * 0.84, wide * 2.1), tall=False, back=True, lift=4)
    y, across, along = face.hole_centre(plate, lay)
    return _window(plate, lay, _closeup(0, y + along * 0.1, across * 3.1), tall=False)


def _pot(plate: Plate, lay: Layout) -> Scene:
    y, _ = banjo.centre(lay)
    r = banjo.outer(plate, lay)
    return _window(plate, lay, _around((-r, y - r, 2 * r, 2 * r), 0.06, False), tall=False)


def _rim(plate: Plate, lay: Layout) -> Scene:
    y, r = banjo.centre(lay)
    return _inside(plate, lay, _around((-r, y - r, 2 * r, 2 * r), 0.07, False))


def _inside(plate: Plate, lay: Layout, frame: Box) -> Scene:
    """The pot from behind with the resonator taken off."""
    return _window(replace(plate, resonator=False), lay, frame, tall=False, back=True)


def _case(plate: Plate, lay: Layout) -> Scene:
    """The piece in its open case, on its side with the head to the left."""
    tray, sheet = Sheet(), Sheet()
    draw_case(tray, plate, lay)
    with sheet.group(transform=f"rotate({ANGLE})"):
        draw_front(sheet, plate, lay)
    extent, half = _extent(plate, lay), reach(plate, lay)
    left, long = extent[1] - RIM - 24, extent[3] + 2 * RIM + 66
    frame = _around((left, -half * 3, long, half * 4 + 16), 0.04, False)
    under = Scene(
        tray,
        frame,
        _cut((left - 30, -half * 3 - 40, long + 60, half * 4 + 90), frame),
        [],
        [],
        [],
        plate.seed,
        lift=16,
    )
    lying = (extent[1], -extent[0] - extent[2], extent[3], extent[2])
    woods = [
        Wood((w.box[1], -w.box[0] - w.box[2], w.box[3], w.box[2]), w.name, w.colour, True, w.depth)
        for w in _woods(plate, lay)
    ]
    shading = [replace(r, outline=tuple((y, -x) for x, y in r.outline)) for r in _reliefs(plate, lay, False)]
    return Scene(sheet, frame, lying, woods, shading, [], plate.seed, lift=7, under=under)


_SCENES: dict[str, Callable[[Plate, Layout], Scene]] = {
    "front": _whole, "back": _whole_back, "peghead-front": _head, "peghead-back": _head_back,
    "fingerboard": _fingerboard, "side": _side, "detail-a": _bridge, "detail-b": _second,
    "serial": _serial, "case": _case, "pot": _pot, "rim-inside": _rim,
}  # fmt: skip
