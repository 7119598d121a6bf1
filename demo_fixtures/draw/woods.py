"""Grain: grey maps of wood, skin and cloth, made once and cropped anew for every piece.

A map is an `L` image, 0 for the light part of the wood and 255 for the dark part, grain running downwards.
"""

from functools import lru_cache
from random import Random

from PIL import Image, ImageChops

SIZE = 2200
FINE = (1.6, 3.2, 6.4, 12.8)


def _noise(seed: int, across: int, along: int) -> Image.Image:
    """Grey noise of SIZE by SIZE whose grains measure `across` by `along` pixels."""
    wide, high = max(3, SIZE // max(1, across)), max(3, SIZE // max(1, along))
    small = Image.frombytes("L", (wide, high), Random(seed).randbytes(wide * high))
    return small.resize((SIZE, SIZE), Image.Resampling.BICUBIC)


def _stretch(image: Image.Image, low: int, high: int) -> Image.Image:
    span = max(1, high - low)
    return image.point([max(0, min(255, (value - low) * 255 // span)) for value in range(256)])


def _spruce(mm: float) -> Image.Image:
    lines = _noise(11, round(mm * 0.55), SIZE // 3)
    broad = _noise(12, round(mm * 9), SIZE // 3)
    silk = _noise(13, round(mm * 7), max(1, round(mm * 0.5)))
    return Image.blend(Image.blend(lines, broad, 0.38), silk, 0.06)


def _mahogany(mm: float) -> Image.Image:
    pores = _stretch(_noise(21, max(1, round(mm * 0.3)), round(mm * 7)), 120, 255)
    ribbon = _noise(22, round(mm * 6), round(mm * 90))
    return Image.blend(ribbon, pores, 0.45)


def _rosewood(mm: float) -> Image.Image:
    streak = _stretch(_noise(31, round(mm * 3.4), round(mm * 140)), 70, 200)
    fine = _noise(32, max(1, round(mm * 0.5)), round(mm * 40))
    return Image.blend(streak, fine, 0.4)


def _maple(mm: float) -> Image.Image:
    flame = _stretch(_noise(41, round(mm * 74), round(mm * 5.4)), 40, 215)
    fine = _noise(42, max(1, round(mm * 0.5)), round(mm * 60))
    return Image.blend(flame, fine, 0.36)


def _skin(mm: float) -> Image.Image:
    clouds = _noise(51, round(mm * 40), round(mm * 34))
    mottle = _noise(52, round(mm * 5), round(mm * 5))
    return Image.blend(clouds, mottle, 0.3)


def _cloth(mm: float) -> Image.Image:
    nap = _noise(61, max(1, round(mm * 0.5)), max(1, round(mm * 0.9)))
    folds = _noise(62, round(mm * 30), round(mm * 46))
    return Image.blend(folds, nap, 0.4)


_MAKERS = {
    "spruce": _spruce, "mahogany": _mahogany, "rosewood": _rosewood,
    "maple": _maple, "skin": _skin, "cloth": _cloth,
}  # fmt: skip


@lru_cache(maxsize=40)
def _sheet(wood: str, fineness: float, lying: bool) -> Image.Image:
    upright = _MAKERS[wood](fineness)
    return upright.transpose(Image.Transpose.ROTATE_90) if lying else upright


def grain(wood: str, size: tuple[int, int], per_mm: float, lying: bool, seed: int) -> Image.Image:
    """A map of `wood` of `size` pixels at about `per_mm` pixels per mm; `lying` turns the grain sideways."""
    fineness = min(FINE, key=lambda step: abs(step - per_mm))
    whole = _sheet(wood, fineness, lying)
    dice = Random(seed)
    x, y = (dice.randrange(max(1, SIZE - side)) for side in size)
    piece = whole.crop((x, y, x + size[0], y + size[1]))
    return ImageChops.invert(piece) if dice.random() < 0.3 and wood == "spruce" else piece
