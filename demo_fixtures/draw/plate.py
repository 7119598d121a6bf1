"""What a piece is and how it is finished: all that the drawing needs to know."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

VARIANTS: dict[str, tuple[str, ...]] = {
    "banjo": ("five-string", "tenor", "plectrum", "banjolele"),
    "flat-top": ("six-string", "twelve-string", "tenor"),
    "archtop": ("f-hole", "f-hole-tenor", "round-hole"),
    "mandolin": ("mandolin", "mandola", "mandocello"),
    "ukulele": ("soprano", "concert", "tenor", "baritone", "taropatch"),
}
MANDOLIN_BODIES = ("carved-scroll", "carved-pear", "bowl")
METALS = ("nickel", "gold", "aged")
INLAYS = ("dot", "diamond", "floral", "block", "none")
PEGHEADS = ("crown", "wave", "slope", "moth", "shoulders", "lyre")
VIEWS = (
    "front", "back", "peghead-front", "peghead-back", "fingerboard", "side", "detail-a", "detail-b", "serial", "case",
)  # fmt: skip
BANJO_VIEWS = ("pot", "rim-inside")


class UnknownView(ValueError):
    """This kind of instrument has no such view."""


@dataclass(frozen=True)
class Plate:
    """One instrument as the draughtsman sees it; colours are `#rrggbb`, `wear` runs from 0 (new) to 1."""

    kind: str = "flat-top"
    variant: str = "six-string"
    body: str = ""
    top: str = "#d9a860"
    back: str = "#6b3a22"
    binding: str = "#efe4c8"
    metal: str = "nickel"
    inlay: str = "dot"
    peghead: str = "crown"
    resonator: bool = False
    sunburst: bool = False
    wear: float = 0.3
    seed: int = 1
    serial: str = "1042"
    label: str = "Ashgrove & Tull"

    def __post_init__(self) -> None:
        _check("kind", self.kind, tuple(VARIANTS))
        _check("variant", self.variant, VARIANTS[self.kind])
        _check("body", self.body, MANDOLIN_BODIES if self.kind == "mandolin" else ("",))
        _check("metal", self.metal, METALS)
        _check("inlay", self.inlay, INLAYS)
        _check("peghead", self.peghead, PEGHEADS)
        if not 0 <= self.wear <= 1:
            raise ValueError(f"wear runs from 0 to 1, not {self.wear}")


def _check(name: str, value: str, allowed: tuple[str, ...]) -> None:
    if value not in allowed:
        raise ValueError(f"{name} is {value!r}; it can be {', '.join(allowed) or 'left out'}")


_FINISH: dict[str, dict[str, Any]] = {
    "banjo": {"top": "#efe7d4", "back": "#8a4f26", "metal": "nickel", "inlay": "floral", "peghead": "moth"},
    "flat-top": {"top": "#dcae68", "back": "#6b3a22", "metal": "nickel", "inlay": "dot", "peghead": "slope"},
    "archtop": {
        "top": "#cf8a3c",
        "back": "#a0602a",
        "metal": "gold",
        "inlay": "block",
        "peghead": "shoulders",
    },
    "mandolin": {"top": "#c9803a", "back": "#8f4d22", "metal": "nickel", "inlay": "dot", "peghead": "wave"},
    "ukulele": {"top": "#a8662f", "back": "#94562a", "metal": "aged", "inlay": "dot", "peghead": "crown"},
}


def plate_from(given: Mapping[str, Any]) -> Plate:
    """A plate from a plain mapping such as a row of the fixtures; what is left out follows from the kind.

    Raises `ValueError` for a name that a plate does not have, or for a value it cannot take.
    """
    unknown = set(given) - {field.name for field in fields(Plate)}
    if unknown:
        raise ValueError(f"a plate has no {', '.join(sorted(unknown))}")
    kind = given.get("kind", "flat-top")
    _check("kind", kind, tuple(VARIANTS))
    plain: dict[str, Any] = {"kind": kind, "variant": VARIANTS[kind][0], **_FINISH[kind]}
    if kind == "mandolin":
        plain["body"] = "carved-pear"
    return Plate(**{**plain, **given})


def views_of(plate: Plate) -> tuple[str, ...]:
    """The views that can be drawn of this piece, in the order of a listing."""
    return VIEWS + BANJO_VIEWS if plate.kind == "banjo" else VIEWS
