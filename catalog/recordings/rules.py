"""How a recording is told and drawn: its length in words, its waveform, chapters spread over it."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from itertools import pairwise

from shop.wording import gettext as _

PEAKS = 400  # numbers kept of a waveform
TOP = 100  # the loudest of them
BARS = 120  # bars drawn of them
HEIGHT = 40  # of the drawing, in its own units; its middle is the line of silence


def waveform(levels: Sequence[int], many: int = PEAKS) -> list[int]:
    """`levels` of any number as at most `many` numbers from 0 to 100, the loudest being 100; silence is all 0."""
    fewer = fewest(levels, many)
    loudest = max(fewer, default=0)
    return [round(TOP * level / loudest) for level in fewer] if loudest else [0] * len(fewer)


def fewest(levels: Sequence[int], many: int) -> list[int]:
    """At most `many` of the levels: of each stretch of equal length the loudest."""
    count = min(many, len(levels))
    edges = [len(levels) * place // count for place in range(count + 1)] if count else []
    return [max(levels[first:last]) for first, last in pairwise(edges)]


def drawn(peaks: Sequence[int]) -> str:
    """The waveform as the path of an SVG picture of BARS × HEIGHT: upright bars about the middle."""
    middle = HEIGHT // 2
    bars = [max(round(peak * (middle - 1) / TOP), 1) for peak in fewest(peaks, BARS)]
    return "".join(f"M{place} {middle - bar}v{2 * bar}" for place, bar in enumerate(bars))


def spoken_length(seconds: Decimal) -> str:
    """“14 s”, “2 min 14 s”, “1 h 3 min”: to the second, and from an hour on to the minute."""
    whole = max(round(seconds), 1)
    hours, minutes = divmod(round(whole / 60), 60)
    if whole >= 3600:
        said = _("%(hours)s h %(minutes)s min") if minutes else _("%(hours)s h")
        return said % {"hours": hours, "minutes": minutes}
    minutes, rest = divmod(whole, 60)
    if minutes and rest:
        said = _("%(minutes)s min %(seconds)s s")
    else:
        said = _("%(minutes)s min") if minutes else _("%(seconds)s s")
    return said % {"minutes": minutes, "seconds": rest}


def spread(titles: Iterable[str], milliseconds: int) -> list[tuple[int, int, str]]:
    """Start, end and title of chapters of even length over the whole; one that would have no length is left out."""
    named = list(titles)[: max(milliseconds, 0)]
    edges = [milliseconds * place // len(named) for place in range(len(named) + 1)] if named else []
    return [(begins, ends, title) for (begins, ends), title in zip(pairwise(edges), named, strict=True)]
