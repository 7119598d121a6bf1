"""From a scene to a JPEG: paper, shadow, wood, drawing, in that order."""

from dataclasses import dataclass, field
from functools import lru_cache
from io import BytesIO
from math import hypot
from random import Random

import typst
from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageOps

from demo_fixtures.draw.geometry import Points
from demo_fixtures.draw.svg import CLEAR, Sheet, channels, mix
from demo_fixtures.draw.woods import grain

Box = tuple[float, float, float, float]
LANDSCAPE = (2000, 1500)
PORTRAIT = (1500, 2000)
QUALITY = 88
# Drawing and unpacking cost time by the pixel; above this the lines are drawn coarser than the grain and the paper.
MOST_PIXELS = 1_500_000
GROUNDS = ("#d9d6cf", "#cfd0d0", "#e0dcd2", "#c9c7c2", "#d5d3cd", "#bfc1c2")


@dataclass(frozen=True)
class Wood:
    """Where a grain shows: box on the sheet, wood, its colour, the way the grain runs."""

    box: Box
    name: str
    colour: str
    lying: bool = False
    depth: float = 0.5


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
    canvas = paper(scene.size, scene.ground or Random(scene.seed).choice(GROUNDS)).copy()
    for layer in (scene.under, scene):
        if layer is not None:
            window = _pixels(layer, layer.ink)
            _lay(canvas, layer, window)
    return encode(canvas)


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


def _rasterise(scene: Scene, window: tuple[int, int, int, int]) -> tuple[Image.Image, Image.Image]:
    """The drawing in `window`: its colours and its cover."""
    full, scale = (window[2] - window[0], window[3] - window[1]), _per_mm(scene)
    x, y = scene.frame[0] + window[0] / scale, scene.frame[1] + window[1] / scale
    share = min(1.0, (MOST_PIXELS / (full[0] * full[1])) ** 0.5)
    width, height = round(full[0] * share), round(full[1] * share)
    markup = scene.sheet.markup((x, y, full[0] / scale, full[1] / scale), width, height)
    page = f"#set page(width: {width}pt, height: {height}pt, margin: 0pt, fill: none)\n"
    source = page + '#image(bytes(sys.inputs.at("drawing")), format: "svg", width: 100%)'
    png = _compiler().compile(source.encode(), format="png", ppi=72, sys_inputs={"drawing": markup})
    if not isinstance(png, bytes):
        raise TypeError("the drawing did not come out as one page")
    image = Image.open(BytesIO(png))
    colours, cover = image.convert("RGB"), image.convert("RGBA").getchannel("A")
    if share == 1:
        return colours, cover
    return colours.resize(full, Image.Resampling.BILINEAR), cover.resize(full, Image.Resampling.BILINEAR)


def _lay(canvas: Image.Image, scene: Scene, window: tuple[int, int, int, int]) -> None:
    colours, cover = _rasterise(scene, window)
    outline = cover.point([min(255, round(value / CLEAR * 1.04)) for value in range(256)])
    _shade(canvas, outline, scene, window)
    for number, wood in enumerate(scene.woods):
        _plank(canvas, outline, scene, window, wood, scene.seed * 31 + number)
    for relief in scene.reliefs:
        _carve(canvas, outline, scene, window, relief)
    for light in scene.lights:
        _light(canvas, outline, scene, window, light)
    canvas.paste(colours, window[:2], cover)


def _shade(
    canvas: Image.Image, outline: Image.Image, scene: Scene, window: tuple[int, int, int, int]
) -> None:
    """A soft shadow of `outline`, falling to the lower right, wider for what lies higher."""
    step = 8
    fall = scene.lift * _per_mm(scene)
    small = Image.new("L", (canvas.width // step, canvas.height // step), 0)
    shape = outline.resize(
        (max(1, outline.width // step), max(1, outline.height // step)), Image.Resampling.BOX
    )
    for reach, blur, dark in ((0.35, 0.3, 0.55), (1.0, 0.9, 0.5)):
        layer = Image.new("L", small.size, 0)
        spot = (round((window[0] + fall * reach * 0.7) / step), round((window[1] + fall * reach) / step))
        layer.paste(shape.point([round(value * dark) for value in range(256)]), spot)
        small = ImageChops.screen(small, layer.filter(ImageFilter.GaussianBlur(max(1, fall * blur / step))))
    box = small.getbbox()
    if box:
        mask = small.crop(box).resize(
            ((box[2] - box[0]) * step, (box[3] - box[1]) * step), Image.Resampling.BILINEAR
        )
        canvas.paste((38, 34, 32), (box[0] * step, box[1] * step), mask)


def _plank(
    canvas: Image.Image,
    outline: Image.Image,
    scene: Scene,
    window: tuple[int, int, int, int],
    wood: Wood,
    seed: int,
) -> None:
    left, upper, right, lower = _shared(_pixels(scene, wood.box), window)
    if right <= left or lower <= upper:
        return
    size = (right - left, lower - upper)
    light, dark = mix(wood.colour, "#fff0d0", wood.depth * 0.4), mix(wood.colour, "#1c0d05", wood.depth)
    plank = Image.new("RGB", size, channels(light))
    plank.paste(channels(dark), (0, 0), grain(wood.name, size, _per_mm(scene), wood.lying, seed))
    local = (left - window[0], upper - window[1], right - window[0], lower - window[1])
    canvas.paste(plank, (left, upper), outline.crop(local))


def _carve(
    canvas: Image.Image, outline: Image.Image, scene: Scene, window: tuple[int, int, int, int], relief: Relief
) -> None:
    shade, corner, grid = _hollow(relief.outline, relief.reach, relief.strength)
    where = _shared(_pixels(scene, _bounds(relief.outline)), window)
    _veil(canvas, outline, scene, window, where, shade, (corner, (grid, grid)), relief.colour)


def _light(
    canvas: Image.Image, outline: Image.Image, scene: Scene, window: tuple[int, int, int, int], light: Light
) -> None:
    x, y, wide, high = light.box
    shine = _shine(light.crown, light.sheen)
    where = _shared(_pixels(scene, light.box), window)
    _veil(
        canvas,
        outline,
        scene,
        window,
        where,
        shine,
        ((x, y), (shine.width / wide, shine.height / high)),
        "#fff8e6",
    )


def _veil(
    canvas: Image.Image,
    outline: Image.Image,
    scene: Scene,
    window: tuple[int, int, int, int],
    where: tuple[int, int, int, int],
    small: Image.Image,
    grid: tuple[tuple[float, float], tuple[float, float]],
    colour: str,
) -> None:
    """Lay `colour` over the outline in `where`, as strong as the map `small`.

    `grid` is the corner of that map in mm, and how many of its points go to a mm across and along.
    """
    left, upper, right, lower = where
    if right <= left or lower <= upper:
        return
    (x, y), (across, along) = grid
    scale, size = _per_mm(scene), (right - left, lower - upper)
    corner = ((left / scale + scene.frame[0] - x) * across, (upper / scale + scene.frame[1] - y) * along)
    last = (corner[0] + size[0] / scale * across, corner[1] + size[1] / scale * along)
    box = (max(0, corner[0]), max(0, corner[1]), min(small.width, last[0]), min(small.height, last[1]))
    mask = small.resize(size, Image.Resampling.BICUBIC, box)
    local = (left - window[0], upper - window[1], right - window[0], lower - window[1])
    canvas.paste(channels(colour), (left, upper), ImageChops.multiply(mask, outline.crop(local)))


@lru_cache(maxsize=16)
def _shine(crown: float, sheen: float) -> Image.Image:
    side = 72
    image = Image.new("L", (side, side))
    image.putdata([_bright(i % side / side, i // side / side, crown, sheen) for i in range(side * side)])
    return image


def _bright(u: float, v: float, crown: float, sheen: float) -> int:
    """How bright (0 to 255) the spot at `u`, `v` is; both run from 0 to 1 over the box."""
    dome: float = max(0.0, 1 - hypot(u - 0.38, v - 0.42) / 0.6) ** 1.4
    slant = (u + v * 0.8) / 1.8
    streak = max(0.0, 1 - abs(slant - 0.4) / 0.1) * 0.7 + max(0.0, 1 - slant / 0.3) * 0.8
    return round(255 * min(1.0, crown * dome + sheen * streak))


def _shared(one: tuple[int, int, int, int], other: tuple[int, int, int, int]) -> tuple[int, int, int, int]:
    return max(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), min(one[3], other[3])


def _bounds(outline: Points) -> Box:
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)


@lru_cache(maxsize=64)
def _hollow(outline: Points, reach: float, strength: float) -> tuple[Image.Image, tuple[float, float], float]:
    """How dark each spot is, the corner (x, y in mm) of that map, and its points to a mm."""
    grid, margin = 0.5, 2.5 * reach + 8
    x, y, across, along = _bounds(outline)
    left, upper = x - margin, y - margin
    wide, high = (round((side + 2 * margin) * grid) for side in (across, along))
    shape = Image.new("L", (wide, high), 0)
    ImageDraw.Draw(shape).polygon([((x - left) * grid, (y - upper) * grid) for x, y in outline], fill=255)
    soft = shape.filter(ImageFilter.GaussianBlur(reach * grid * 0.6))
    dark = soft.point([min(255, round(max(0, 255 - value) * 1.9 * strength)) for value in range(256)])
    return dark, (left, upper), grid


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
    faint = specks.filter(ImageFilter.BoxBlur(1)).point([max(0, (value - 128) // 7) for value in range(256)])
    ground.paste(channels(mix(tone, "#2c2a28", 0.8)), (0, 0), faint)
    return ground
