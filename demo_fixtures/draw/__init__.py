"""Photographs of the invented shop's instruments, drawn by ourselves.

`render(plate, view)` takes a `Plate` (what the piece is and how it is finished) and the slug of a view, and
gives the bytes of an RGB JPEG of 1040 by 780 pixels (or 780 by 1040), without metadata. The same plate and view
always give the same picture; another seed gives another piece of wood, another paper and another wear.

How it is made: `layout` holds the proportions in millimetres (origin at the middle of the nut, y towards the
bridge), the drawing modules write them as SVG, `compose` rasterises that over wood grain, shadow and paper.

Raises `UnknownView` when the kind of instrument has no such view, `ValueError` when a plate is not a real one.
"""

from demo_fixtures.draw.compose import develop
from demo_fixtures.draw.plate import Plate, UnknownView, plate_from, views_of
from demo_fixtures.draw.scenes import scene_for

__all__ = ["Plate", "UnknownView", "plate_from", "render", "views_of"]


def render(plate: Plate, view: str) -> bytes:
    """The photograph `view` of `plate` as JPEG bytes; raises `UnknownView` if its kind has no such view."""
    return develop(scene_for(plate, view))
