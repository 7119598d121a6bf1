"""A sheet of SVG that is written piece by piece; lengths are millimetres."""

from collections.abc import Iterator
from contextlib import contextmanager
from xml.sax.saxutils import escape

# Wood is drawn nearly clear, so that the grain laid below shows; four times its cover is its outline.
CLEAR = 0.25
Stop = tuple[float, str] | tuple[float, str, float]


class Sheet:
    """Collects shapes and the gradients that they use."""

    def __init__(self, sight: tuple[float, float, float, float] | None = None) -> None:
        """`sight` (x, y, width, height) is what will be looked at; parts that ask `sees` may stay away."""
        self.sight = sight
        self.defs: list[str] = []
        self.parts: list[str] = []

    def sees(self, upper: float, lower: float) -> bool:
        """Whether anything between y = `upper` and y = `lower` can be seen."""
        return self.sight is None or (lower >= self.sight[1] and upper <= self.sight[1] + self.sight[3])

    def path(self, d: str, **look: str | float) -> None:
        """A path; attribute names are written with underscores."""
        self.parts.append(f'<path d="{d}"{_attributes(look)}/>')

    def circle(self, x: float, y: float, r: float, **look: str | float) -> None:
        """A disc or ring around (x, y)."""
        self.parts.append(f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{r:.2f}"{_attributes(look)}/>')

    def ellipse(self, x: float, y: float, rx: float, ry: float, **look: str | float) -> None:
        """An upright ellipse around (x, y)."""
        self.parts.append(
            f'<ellipse cx="{x:.2f}" cy="{y:.2f}" rx="{rx:.2f}" ry="{ry:.2f}"{_attributes(look)}/>'
        )

    def rect(self, x: float, y: float, w: float, h: float, **look: str | float) -> None:
        """A rectangle from its upper left corner."""
        box = f'x="{x:.2f}" y="{y:.2f}" width="{w:.2f}" height="{h:.2f}"'
        self.parts.append(f"<rect {box}{_attributes(look)}/>")

    def text(self, x: float, y: float, words: str, **look: str | float) -> None:
        """Words set from the middle of a line."""
        middle = f'x="{x:.2f}" y="{y:.2f}" text-anchor="middle"'
        self.parts.append(f"<text {middle}{_attributes(look)}>{escape(words)}</text>")

    def linear(self, x1: float, y1: float, x2: float, y2: float, *stops: Stop) -> str:
        """A paint that changes along a line."""
        line = f'x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}"'
        return self._paint("linearGradient", line, stops)

    def radial(self, x: float, y: float, r: float, *stops: Stop) -> str:
        """A paint that changes outwards from a point."""
        return self._paint("radialGradient", f'cx="{x:.2f}" cy="{y:.2f}" r="{r:.2f}"', stops)

    def _paint(self, name: str, place: str, stops: tuple[Stop, ...]) -> str:
        ident = f"g{len(self.defs)}"
        inner = "".join(_stop(stop) for stop in stops)
        self.defs.append(f'<{name} id="{ident}" gradientUnits="userSpaceOnUse" {place}>{inner}</{name}>')
        return f"url(#{ident})"

    @contextmanager
    def group(self, transform: str) -> Iterator[None]:
        """Everything written inside is moved together.

        Clipped or faded groups are left out on purpose: each is painted on a layer of its own, which in a
        close view is many times as large as the picture and takes longer than all the rest.
        """
        self.parts.append(f'<g transform="{transform}">')
        yield
        self.parts.append("</g>")

    def markup(self, box: tuple[float, float, float, float], width: int, height: int) -> str:
        """The whole sheet as an SVG document that shows `box` (x, y, width, height)."""
        view = " ".join(f"{value:.3f}" for value in box)
        size = f'preserveAspectRatio="none" width="{width}" height="{height}"'
        head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" {size}>'
        return f"{head}<defs>{''.join(self.defs)}</defs>{''.join(self.parts)}</svg>"


def _attributes(look: dict[str, str | float]) -> str:
    return "".join(f' {name.rstrip("_").replace("_", "-")}="{value}"' for name, value in look.items())


def _stop(stop: Stop) -> str:
    faded = f' stop-opacity="{stop[2]}"' if len(stop) == 3 else ""
    return f'<stop offset="{stop[0]}" stop-color="{stop[1]}"{faded}/>'


def mix(one: str, other: str, share: float) -> str:
    """The colour `share` of the way from `one` to `other`, both `#rrggbb`."""
    pairs = zip(channels(one), channels(other), strict=True)
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def channels(colour: str) -> tuple[int, int, int]:
    """Red, green and blue of `#rrggbb`, each 0 to 255."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
