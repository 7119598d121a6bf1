"""Photographs before sealing, drawn: an open carton from above, with what lies in it."""

import random
from io import BytesIO

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw, ImageFilter

SIZE = (1200, 900)
INSIDE = (150, 110, 1050, 790)
LAYERS = {
    "The case in the carton, two inches of padding on every side": "case",
    "Strings slack, a card between strings and fingerboard": "neck",
    "The carton before the tape": "lid",
}


def photographs(seed: str) -> list[tuple[str, SimpleUploadedFile]]:
    """A caption and a file for each layer, the same for the same seed."""
    drawn = [(caption, _drawn(layer, random.Random(f"{seed} {layer}"))) for caption, layer in LAYERS.items()]
    return [
        (caption, SimpleUploadedFile(f"{seed}-{place}.jpg", data))
        for place, (caption, data) in enumerate(drawn, 1)
    ]


def _drawn(layer: str, chance: random.Random) -> bytes:
    picture = Image.new("RGB", SIZE, (96, 84, 70))
    pen = ImageDraw.Draw(picture)
    pen.rectangle((90, 60, 1110, 840), fill=(188, 150, 104))
    pen.rectangle(INSIDE, fill=(120, 92, 60))
    {"case": _case, "neck": _neck, "lid": _lid}[layer](pen, chance)
    out = BytesIO()
    picture.filter(ImageFilter.GaussianBlur(1.2)).save(out, "JPEG", quality=84)
    return out.getvalue()


def _padding(pen: ImageDraw.ImageDraw, chance: random.Random) -> None:
    for _ in range(420):
        x, y = chance.randint(INSIDE[0], INSIDE[2] - 40), chance.randint(INSIDE[1], INSIDE[3] - 30)
        light = chance.randint(206, 240)
        pen.ellipse((x, y, x + 44, y + 30), fill=(light, light - 6, light - 22), outline=(180, 172, 150))


def _case(pen: ImageDraw.ImageDraw, chance: random.Random) -> None:
    _padding(pen, chance)
    pen.rounded_rectangle((230, 250, 700, 650), 190, fill=(40, 36, 34))
    pen.rounded_rectangle((620, 385, 970, 515), 40, fill=(40, 36, 34))
    for x in (330, 560, 840):
        pen.rectangle((x, 244 if x < 700 else 380, x + 46, 262 if x < 700 else 398), fill=(190, 160, 90))


def _neck(pen: ImageDraw.ImageDraw, chance: random.Random) -> None:
    pen.rectangle(INSIDE, fill=(94, 40, 46))
    pen.rectangle((150, 400, 1050, 500), fill=(60, 42, 30))
    for fret in range(16):
        x = 1030 - int(880 * (1 - 0.944**fret))
        pen.rectangle((x - 2, 400, x + 2, 500), fill=(196, 186, 160))
    pen.rectangle((300, 390, 900, 510), fill=(236, 230, 214), outline=(170, 160, 140))
    for string in range(4):
        y = 416 + 22 * string
        pen.line((150, y, 1050, y + chance.randint(-5, 5)), fill=(214, 210, 200), width=2)


def _lid(pen: ImageDraw.ImageDraw, chance: random.Random) -> None:
    _padding(pen, chance)
    pen.polygon([(90, 60), (1110, 60), (1010, 330), (190, 330)], fill=(202, 164, 118), outline=(140, 108, 70))
    pen.polygon(
        [(90, 840), (1110, 840), (1010, 570), (190, 570)], fill=(196, 158, 112), outline=(140, 108, 70)
    )
