"""A photograph as a page shows it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from catalog.pictures.models import Photograph
from catalog.pictures.prints import WIDTHS
from shop.wording import inside, shipped

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

    `token` and `widths` name its prints in the folder. `detail` is where a closer look may be had, empty where the
    widest print shows all. `shows` are the parts whose finding rests on it.
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
    detail: str = ""
    shows: tuple[str, ...] = ()

    @property
    def heading(self) -> str:
        """Which view it is, where its caption does not begin with that."""
        return "" if self.caption.lower().startswith(self.view.lower()) else self.view


def pictures(instrument: Any) -> list[Picture]:
    """The photographs of an instrument that came through catalog.public.queries.pages, the lead one first."""
    parts: dict[int, list[str]] = {}
    for row in instrument.findings.all():
        if row.photograph_id:
            parts.setdefault(row.photograph_id, []).append(inside(shipped(row.part.name)))
    return [picture(photograph, parts.get(photograph.pk, ())) for photograph in instrument.ready]


def picture(photograph: Photograph, shows: Iterable[str] = ()) -> Picture:
    """A photograph whose prints are ready, and the parts for which it is evidence."""
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
        view=shipped(photograph.view.name) if photograph.view else "",
        caption=photograph.caption,
        detail=reverse("picture-detail", args=[photograph.token]) if widths[-1] >= WIDTHS[-1] else "",
        shows=tuple(shows),
    )


def _srcset(photograph: Photograph, widths: list[int], suffix: str) -> str:
    return ", ".join(f"{photograph.address(width, suffix)} {width}w" for width in widths)
