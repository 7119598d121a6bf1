"""From a scene to a JPEG: paper, shadow, wood, drawing, in that order."""

from dataclasses import dataclass, field
from functools import lru_cache
from io import BytesIO
from random import Random

import typst
from PIL import Image, ImageChops, ImageFilter, ImageOps

from demo_fixtures.draw.shading import Box, Light, Relief, veil
from demo_fixtures.draw.svg import CLEAR, Sheet, channels, mix
from demo_fixtures.draw.woods import grain

LANDSCAPE = (1040, 780)
PORTRAIT = (780, 1040)
QUALITY = 88
# Drawing and unpacking cost time by the pixel; above this the lines are drawn coarser than the grain and the paper.
MOST_PIXELS = 1_100_000
SOLID = [min(255, round(value / CLEAR * 1.04)) for value in range(256)]
GROUNDS = ("#d9d6cf", "#cfd0d0", "#e0dcd2", "#c9c7c2", "#d5d3cd", "#bfc1c2")


@dataclass(frozen=True)
class Wood:
    """Where a grain shows: box on the sheet, wood, its colour, the way the grain runs."""

    box: Box
    name: str
    colour: str
    lying: bool = False
    depth: float = 0.5


@dataclass
class Scene:
    """A drawing and the frame it is seen in; boxes are (x, y, width, height) in mm."""

    sheet: Sheet
    frame: Box
    ink: Box
    woods: list[Wood] = field(default_factory=list)
    reliefs: list[Relief] = field(default_factory=list)
    lights: list[Light] = field(default_factory=list)
    seed: int = 0
    upright: bool = False
    lift: float = 9.0
    ground: str = ""
    under: "Scene | None" = None

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the picture in pixels."""
        return PORTRAIT if self.upright else LANDSCAPE


def develop(scene: Scene) -> bytes:
    """The scene as the bytes of an RGB JPEG."""
    layers = [layer for layer in (scene.under, scene) if layer is not None]
    lowest = _rasterise(layers[0])
    ground = paper(_half(scene.size), scene.ground or Random(scene.seed).choice(GROUNDS)).copy()
    _shade(ground, lowest, layers[0])
    canvas = ground.resize(scene.size, Image.Resampling.NEAREST)
    _lay(canvas, lowest, layers[0])
    for layer in layers[1:]:
        drawing = _rasterise(layer)
        _shade(canvas, drawing, layer)
        _lay(canvas, drawing, layer)
    return encode(canvas)


def _half(size: tuple[int, int]) -> tuple[int, int]:
    return size[0] // 2, size[1] // 2


def encode(image: Image.Image) -> bytes:
    """An RGB JPEG without metadata."""
    out = BytesIO()
    image.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


def _per_mm(scene: Scene) -> float:
    return scene.size[0] / scene.frame[2]


def _pixels(scene: Scene, box: Box) -> tuple[int, int, int, int]:
    """Left, upper, right, lower of `box` in pixels, kept inside the picture."""
    scale, (width, height) = _per_mm(scene), scene.size
    left, upper = (box[0] - scene.frame[0]) * scale, (box[1] - scene.frame[1]) * scale
    right, lower = left + box[2] * scale, upper + box[3] * scale
    return max(0, round(left)), max(0, round(upper)), min(width, round(right)), min(height, round(lower))


@lru_cache(maxsize=1)
def _compiler() -> typst.Compiler:
    return typst.Compiler(ignore_system_fonts=True)


@dataclass(frozen=True)
class Drawing:
    """A rasterised sheet: its place in the picture, its colours, how far they cover, and the outline of the whole."""

    window: tuple[int, int, int, int]
    colours: Image.Image
    cover: Image.Image
    outline: Image.Image


def _rasterise(scene: Scene) -> Drawing:
    window, scale = _pixels(scene, scene.ink), _per_mm(scene)
    full = (window[2] - window[0], window[3] - window[1])
    x, y = scene.frame[0] + window[0] / scale, scene.frame[1] + window[1] / scale
    share = min(1.0, (MOST_PIXELS / (full[0] * full[1])) ** 0.5)
    width, height = round(full[0] * share), round(full[1] * share)
    image = _image(scene.sheet.markup((x, y, full[0] / scale, full[1] / scale), width, height), width, height)
    colours, cover = image.convert("RGB"), image.convert("RGBA").getchannel("A")
    if share < 1:
        colours, cover = (part.resize(full, Image.Resampling.BILINEAR) for part in (colours, cover))
    return Drawing(window, colours, cover, cover.point(SOLID))


def _image(markup: str, width: int, height: int) -> Image.Image:
    page = f"#set page(width: {width}pt, height: {height}pt, margin: 0pt, fill: none)\n"
    source = page + '#image(bytes(sys.inputs.at("drawing")), format: "svg", width: 100%)'
    png = _compiler().compile(source.encode(), format="png", ppi=72, sys_inputs={"drawing": markup})
    if not isinstance(png, bytes):
        raise TypeError("the drawing did not come out as one page")
    return Image.open(BytesIO(png))


def _lay(canvas: Image.Image, drawing: Drawing, scene: Scene) -> None:
    for number, wood in enumerate(scene.woods):
        _plank(canvas, drawing, scene, wood, scene.seed * 31 + number)
    if scene.reliefs or scene.lights:
        _tint(canvas, drawing, scene)
    canvas.paste(drawing.colours, drawing.window[:2], drawing.cover)


def _shade(canvas: Image.Image, drawing: Drawing, scene: Scene) -> None:
    """A soft shadow on `canvas` (of any size), falling to the lower right, wider for what lies higher."""
    step = 8
    fall, outline, (left, upper) = scene.lift * _per_mm(scene), drawing.outline, drawing.window[:2]
    small = Image.new("L", (scene.size[0] // step, scene.size[1] // step), 0)
    shape = outline.resize(
        (max(1, outline.width // step), max(1, outline.height // step)), Image.Resampling.BOX
    )
    for reach, blur, dark in ((0.35, 0.3, 0.55), (1.0, 0.9, 0.5)):
        layer = Image.new("L", small.size, 0)
        spot = (round((left + fall * reach * 0.7) / step), round((upper + fall * reach) / step))
        layer.paste(shape.point([round(value * dark) for value in range(256)]), spot)
        small = ImageChops.screen(small, layer.filter(ImageFilter.GaussianBlur(max(1, fall * blur / step))))
    canvas.paste((38, 34, 32), (0, 0), small.resize(canvas.size, Image.Resampling.BILINEAR))


def _plank(canvas: Image.Image, drawing: Drawing, scene: Scene, wood: Wood, seed: int) -> None:
    window = drawing.window
    left, upper, right, lower = _shared(_pixels(scene, wood.box), window)
    if right <= left or lower <= upper:
        return
    size = (right - left, lower - upper)
    figure = grain(wood.name, size, _per_mm(scene), wood.lying, seed)
    figure.putpalette(_tones(wood.colour, wood.depth))
    plank = figure.convert("RGB")
    local = (left - window[0], upper - window[1], right - window[0], lower - window[1])
    canvas.paste(plank, (left, upper), drawing.outline.crop(local))


@lru_cache(maxsize=64)
def _tones(colour: str, depth: float) -> list[int]:
    """The colours of a wood from its light parts to its dark ones: 256 times red, green, blue."""
    light, dark = channels(mix(colour, "#fff0d0", depth * 0.4)), channels(mix(colour, "#1c0d05", depth))
    return [round(a + (b - a) * step / 255) for step in range(256) for a, b in zip(light, dark, strict=True)]


def _tint(canvas: Image.Image, drawing: Drawing, scene: Scene) -> None:
    scale, outline, window = _per_mm(scene), drawing.outline, drawing.window
    x, y = scene.frame[0] + window[0] / scale, scene.frame[1] + window[1] / scale
    part = (x, y, outline.width / scale, outline.height / scale)
    shade = veil(scene.reliefs, scene.lights, part, outline.size)
    colours = shade.convert("RGB").resize(outline.size, Image.Resampling.NEAREST)
    strength = shade.getchannel("A").resize(outline.size, Image.Resampling.BILINEAR)
    canvas.paste(colours, window[:2], ImageChops.multiply(strength, outline))


def _shared(one: tuple[int, int, int, int], other: tuple[int, int, int, int]) -> tuple[int, int, int, int]:
    return max(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), min(one[3], other[3])


@lru_cache(maxsize=16)
def paper(size: tuple[int, int], tone: str) -> Image.Image:
    """A quiet ground of `size` pixels in `tone`: lit from the upper left, darker to the corners, faintly grained."""
    glow = ImageOps.invert(Image.radial_gradient("L"))
    wide = glow.resize((round(size[0] * 1.5), round(size[1] * 1.5)), Image.Resampling.BICUBIC)
    left, upper = round(size[0] * 0.28), round(size[1] * 0.3)
    light = wide.crop((left, upper, left + size[0], upper + size[1]))
    ground = Image.new("RGB", size, channels(mix(tone, "#3a3836", 0.36)))
    ground.paste(channels(mix(tone, "#ffffff", 0.34)), (0, 0), light)
    specks = Image.frombytes("L", (size[0], size[1]), Random(5).randbytes(size[0] * size[1]))
    faint = specks.point([max(0, (value - 150) // 9) for value in range(256)])
    ground.paste(channels(mix(tone, "#2c2a28", 0.8)), (0, 0), faint)
    return ground
