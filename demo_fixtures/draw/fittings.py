"""Small things of metal, pearl and bone, each drawn around a point given in mm."""

from random import Random

from demo_fixtures.draw.geometry import Points, closed, inset
from demo_fixtures.draw.plate import Plate
from demo_fixtures.draw.svg import Sheet, mix

METAL = {
    "nickel": ("#f7f6f1", "#b7b6b1", "#5d5c5a"),
    "gold": ("#faeab4", "#c79f4c", "#6d4e1a"),
    "aged": ("#d9d0bb", "#978b73", "#463e33"),
}
BONE = "#ece2c6"
PEARL = ("#fbfaf3", "#cfe0dc", "#f4e2de", "#dde6ec", "#f6f2e6")


def metal(plate: Plate) -> tuple[str, str, str]:
    """Light, middle and dark of the plate's metal."""
    return METAL[plate.metal]


def bar(sheet: Sheet, plate: Plate, x1: float, y1: float, x2: float, y2: float) -> str:
    """A paint for a polished round bar, across the line given."""
    light, middle, dark = metal(plate)
    stops = ((0, dark), (0.16, middle), (0.32, light), (0.5, middle), (0.78, dark), (0.9, middle), (1, dark))
    return sheet.linear(x1, y1, x2, y2, *stops)


def dome(sheet: Sheet, plate: Plate, x: float, y: float, r: float) -> None:
    """A polished button or nut of radius `r` with its own small shadow."""
    light, middle, dark = metal(plate)
    sheet.circle(x + r * 0.16, y + r * 0.24, r * 1.1, fill="#000", fill_opacity=0.28)
    paint = sheet.radial(
        x - r * 0.35, y - r * 0.4, r * 1.5, (0, "#ffffff"), (0.22, light), (0.6, middle), (1, dark)
    )
    sheet.circle(x, y, r, fill=paint, stroke=mix(dark, "#000000", 0.3), stroke_width=r * 0.06)


def screw(sheet: Sheet, plate: Plate, x: float, y: float, r: float, turn: float = 30) -> None:
    """A slotted screw head."""
    dome(sheet, plate, x, y, r)
    with sheet.group(transform=f"rotate({turn} {x:.2f} {y:.2f})"):
        sheet.rect(x - r * 0.85, y - r * 0.14, r * 1.7, r * 0.28, fill="#2a2724", fill_opacity=0.85)


def post(sheet: Sheet, plate: Plate, x: float, y: float, r: float) -> None:
    """A string post in its bushing with the turns of the string around it."""
    light, _, dark = metal(plate)
    dome(sheet, plate, x, y, r * 1.75)
    sheet.circle(x, y, r * 1.22, fill=dark)
    for ring in (1.12, 0.98, 0.84):
        sheet.circle(x, y, r * ring, fill="none", stroke=light, stroke_width=r * 0.08, stroke_opacity=0.7)
    dome(sheet, plate, x, y, r * 0.74)
    sheet.rect(x - r * 0.68, y - r * 0.09, r * 1.36, r * 0.18, fill="#191614", fill_opacity=0.75)


def button(sheet: Sheet, plate: Plate, x: float, y: float, side: int, size: float) -> None:
    """A tuner button on its shaft, standing out from the edge of the peghead at (x, y) to `side`."""
    out = x + side * size * 1.15
    sheet.rect(
        min(x, out),
        y - size * 0.13,
        abs(out - x),
        size * 0.26,
        fill=bar(sheet, plate, x, y - size * 0.13, x, y + size * 0.13),
    )
    left = out if side > 0 else out - size * 1.1
    ivory = plate.metal != "nickel"
    light, dark = ("#f6edd4", "#b29a6c") if ivory else metal(plate)[::2]
    paint = sheet.linear(
        left,
        y - size * 0.62,
        left + size * 0.3,
        y + size * 0.62,
        (0, light),
        (0.35, "#ffffff"),
        (0.55, light),
        (1, dark),
    )
    look: dict[str, str | float] = {
        "fill": paint,
        "stroke": mix(dark, "#000000", 0.4),
        "stroke_width": size * 0.035,
    }
    sheet.rect(
        left + size * 0.08,
        y - size * 0.5,
        size * 1.1,
        size * 1.24,
        rx=size * 0.46,
        fill="#000",
        fill_opacity=0.16,
    )
    sheet.rect(left, y - size * 0.62, size * 1.1, size * 1.24, rx=size * 0.46, **look)


def pearl(sheet: Sheet, x: float, y: float, r: float, seed: int) -> str:
    """A paint of mother of pearl around (x, y), its play of colour turned by `seed`."""
    dice = Random(seed)
    dx, dy = dice.uniform(-1, 1) * r, dice.choice((-1, 1)) * r
    shades = list(PEARL)
    dice.shuffle(shades)
    return sheet.linear(x - dx, y - dy, x + dx, y + dy, *((i / 4, shade) for i, shade in enumerate(shades)))


def inlay(sheet: Sheet, plate: Plate, x: float, y: float, wide: float, tall: float, number: int) -> None:
    """The plate's figure of pearl in a space of `wide` by `tall` mm; `number` varies it."""
    r = min(wide, tall) / 2
    if plate.inlay == "none":
        return
    look: dict[str, str | float] = {
        "fill": pearl(sheet, x, y, r * 1.4, plate.seed * 97 + number), "stroke": "#120d0a", "stroke_width": r * 0.06,
    }  # fmt: skip
    if plate.inlay == "dot":
        sheet.circle(x, y, min(r, 3.4), **look)
    elif plate.inlay == "block":
        sheet.rect(x - wide * 0.5, y - tall * 0.5, wide, tall, rx=0.5, **look)
    elif plate.inlay == "diamond":
        sheet.path(_diamond(x, y, min(wide * 0.34, 6.5), min(tall * 0.62, 9)), **look)
    else:
        _flower(sheet, x, y, min(r * 1.15, 9), number, look)


def _diamond(x: float, y: float, a: float, b: float) -> str:
    k = 0.2
    return (
        f"M{x:.2f} {y - b:.2f} Q{x + a * k:.2f} {y - b * k:.2f} {x + a:.2f} {y:.2f} Q{x + a * k:.2f} {y + b * k:.2f} "
        f"{x:.2f} {y + b:.2f} Q{x - a * k:.2f} {y + b * k:.2f} {x - a:.2f} {y:.2f} "
        f"Q{x - a * k:.2f} {y - b * k:.2f} {x:.2f} {y - b:.2f} Z"
    )


def _flower(sheet: Sheet, x: float, y: float, r: float, number: int, look: dict[str, str | float]) -> None:
    petals = 4 + number % 3
    for petal in range(petals):
        turn = 360 / petals * petal + (45 if petals == 4 else 0)
        leaf = (
            f"M{x:.2f} {y - r * 0.2:.2f} C{x + r * 0.62:.2f} {y - r * 0.5:.2f} {x + r * 0.3:.2f} {y - r * 0.95:.2f} "
            f"{x:.2f} {y - r * 1.12:.2f} C{x - r * 0.3:.2f} {y - r * 0.95:.2f} {x - r * 0.62:.2f} {y - r * 0.5:.2f} "
            f"{x:.2f} {y - r * 0.2:.2f} Z"
        )
        sheet.path(leaf, transform=f"rotate({turn:.0f} {x:.2f} {y:.2f})", **look)
    sheet.circle(x, y, r * 0.2, **look)
    if number % 2:
        for turn in (-1, 1):
            sheet.path(_diamond(x, y + turn * r * 1.5, r * 0.2, r * 0.36), **look)


def band(sheet: Sheet, points: Points, inner: float, wide: float, tone: str, **look: str | float) -> None:
    """A line of `wide` mm along the outline `points`, whose outer edge lies `inner` mm inside it."""
    d = closed(inset(points, round(inner + wide / 2, 2)))
    sheet.path(d, fill="none", stroke=tone, stroke_width=round(wide, 2), stroke_linejoin="round", **look)


def soft_shadow(sheet: Sheet, d: str, dx: float, dy: float, blur: float, dark: float = 0.42) -> None:
    """The shadow that a part throws on what lies below it."""
    look: dict[str, str | float] = {"fill": "#000", "stroke": "#000", "stroke_linejoin": "round"}
    steps = 5 if blur < 4 else 11
    part = round(dark / steps, 3)
    with sheet.group(transform=f"translate({dx:.2f} {dy:.2f})"):
        for step in range(steps):
            wide = round(blur * 2 * (1 - step / steps), 2)
            sheet.path(d, stroke_width=wide, fill_opacity=part, stroke_opacity=part, **look)
