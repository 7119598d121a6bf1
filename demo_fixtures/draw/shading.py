"""Soft shade and light on a surface, worked out small and laid over the wood in one go."""

from dataclasses import dataclass
from functools import lru_cache
from math import hypot

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from demo_fixtures.draw.geometry import Points
from demo_fixtures.draw.svg import channels

Box = tuple[float, float, float, float]
STEP = 4
GRID = 0.5  # points of a shade map to a mm
WARM = "#fff8e6"


@dataclass(frozen=True)
class Relief:
    """A soft shading inside an outline, growing over `reach` mm towards its edge: a sunburst, an arch."""

    outline: Points
    reach: float
    colour: str
    strength: float


@dataclass(frozen=True)
class Light:
    """Light on a surface that fills `box`: a soft crown up to the left, and a slanting sheen; strengths 0 to 1."""

    box: Box
    crown: float
    sheen: float


def veil(reliefs: list[Relief], lights: list[Light], part: Box, size: tuple[int, int]) -> Image.Image:
    """Shade and light over `part` (x, y, width, height in mm) as an RGBA picture of about `size` / STEP pixels."""
    small = (max(1, size[0] // STEP), max(1, size[1] // STEP))
    whole = Image.new("RGBA", small, (0, 0, 0, 0))
    for relief in reliefs:
        dark, corner = _hollow(relief.outline, relief.reach, relief.strength)
        whole = _over(
            whole, _seen(dark, (*corner, dark.width / GRID, dark.height / GRID), part, small), relief.colour
        )
    for light in lights:
        whole = _over(whole, _seen(_shine(light.crown, light.sheen), light.box, part, small), WARM)
    return whole


def _over(whole: Image.Image, mask: Image.Image, colour: str) -> Image.Image:
    layer = Image.new("RGBA", whole.size, (*channels(colour), 0))
    layer.putalpha(mask)
    return Image.alpha_composite(whole, layer)


def _seen(image: Image.Image, box: Box, part: Box, size: tuple[int, int]) -> Image.Image:
    """What `part` shows of the map `image` that fills `box`; nothing outside it."""
    across, along = image.width / box[2], image.height / box[3]
    matrix = (
        part[2] / size[0] * across, 0, (part[0] - box[0]) * across,
        0, part[3] / size[1] * along, (part[1] - box[1]) * along,
    )  # fmt: skip
    return image.transform(size, Image.Transform.AFFINE, matrix, Image.Resampling.BILINEAR)


@lru_cache(maxsize=16)
def _shine(crown: float, sheen: float) -> Image.Image:
    side = 96
    image = Image.new("L", (side, side))
    image.putdata([_bright(i % side / side, i // side / side, crown, sheen) for i in range(side * side)])
    return image


def _bright(u: float, v: float, crown: float, sheen: float) -> int:
    """How bright (0 to 255) the spot at `u`, `v` is; both run from 0 to 1 over the box."""
    dome: float = max(0.0, 1 - hypot(u - 0.38, v - 0.42) / 0.6) ** 1.4
    slant = (u + v * 0.8) / 1.8
    streak = max(0.0, 1 - abs(slant - 0.4) / 0.1) * 0.7 + max(0.0, 1 - slant / 0.3) * 0.8
    return round(255 * min(1.0, crown * dome + sheen * streak))


def bounds(outline: Points) -> Box:
    """The box around an outline."""
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)


@lru_cache(maxsize=64)
def _hollow(outline: Points, reach: float, strength: float) -> tuple[Image.Image, tuple[float, float]]:
    """How dark each spot in the outline is, and the corner (x, y in mm) of that map."""
    margin = 2.5 * reach + 8
    x, y, across, along = bounds(outline)
    left, upper = x - margin, y - margin
    wide, high = (round((side + 2 * margin) * GRID) for side in (across, along))
    shape = Image.new("L", (wide, high), 0)
    ImageDraw.Draw(shape).polygon([((x - left) * GRID, (y - upper) * GRID) for x, y in outline], fill=255)
    soft = shape.filter(ImageFilter.GaussianBlur(reach * GRID * 0.6))
    dark = soft.point([min(255, round(max(0, 255 - value) * 1.9 * strength)) for value in range(256)])
    return ImageChops.multiply(dark, shape.filter(ImageFilter.MaxFilter(5))), (left, upper)
