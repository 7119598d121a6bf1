"""A photograph as a page shows it."""

from dataclasses import dataclass

from catalog.pictures.models import Photograph

TYPES = {"avif": "image/avif", "webp": "image/webp"}
MIDDLE = 800  # pixels: the print that is named when a browser knows no srcset


@dataclass(frozen=True)
class Source:
    """One <source> of a picture."""

    type: str
    srcset: str


@dataclass(frozen=True)
class Picture:
    """A photograph in every form it is served in; width and height in pixels are those of `src`.

    `token` and `widths` name its prints in the folder.
    """

    token: str
    widths: tuple[int, ...]
    sources: tuple[Source, ...]
    src: str
    srcset: str
    full: str
    width: int
    height: int
    alt: str
    view: str
    caption: str


def picture(photograph: Photograph) -> Picture:
    """A photograph whose prints are ready."""
    widths = [int(width) for width in photograph.widths]
    middle = min(widths, key=lambda width: abs(width - MIDDLE))
    return Picture(
        token=photograph.token,
        widths=tuple(widths),
        sources=tuple(Source(kind, _srcset(photograph, widths, suffix)) for suffix, kind in TYPES.items()),
        src=photograph.address(middle, "jpg"),
        srcset=_srcset(photograph, widths, "jpg"),
        full=photograph.address(photograph.largest, "jpg"),
        width=middle,
        height=photograph.height_at(middle),
        alt=photograph.alt,
        view=photograph.view.name if photograph.view else "",
        caption=photograph.caption,
    )


def _srcset(photograph: Photograph, widths: list[int], suffix: str) -> str:
    return ", ".join(f"{photograph.address(width, suffix)} {width}w" for width in widths)
