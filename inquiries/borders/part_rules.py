"""When the material of a part was taken from nature, and when it was put on, as far as the record tells.

Common practice, no source: what is not original was put on at any time from the make until today, unless a date is
written; nothing is taken from nature after it was put on. A date that is missing, or later, never makes an answer surer
(tests/inquiries/borders/test_part_rules.py). Dates that contradict each other are never made to agree: what was typed
stands, and that it cannot be is said.
"""

from typing import Final, NamedTuple

from inquiries.borders.conditions import Span

UNDATED: Final = "when it was put on, since the record does not hold the part for original"
TAKEN_LATER: Final = "which date is right: by what is written it was taken after it was put on"
ON_TOO_EARLY: Final = "which date is right: by what is written it was put on before the piece was made"


class PartDates(NamedTuple):
    """The two spans of one material of one part, and what of them is missing or cannot be."""

    taken: Span
    fitted: Span
    doubts: tuple[str, ...] = ()


def dates_of(made: Span, *, original: bool, fitted: Span | None, taken: Span) -> PartDates:
    """The spans of a part; `fitted` is None where no date is written, and `original` what the finding says."""
    doubts = []
    if fitted is None:
        put_on = made if original else Span(made.earliest, None)
        doubts += [] if original else [UNDATED]
    elif _after(made, fitted):
        put_on = Span(fitted.earliest, made.latest)
        doubts.append(ON_TOO_EARLY)
    else:
        put_on = fitted
    if _after(taken, put_on):
        return PartDates(taken, Span(put_on.earliest, taken.latest), (*doubts, TAKEN_LATER))
    ends = [day for day in (taken.latest, put_on.latest) if day]
    return PartDates(Span(taken.earliest, min(ends, default=None)), put_on, tuple(doubts))


def _after(one: Span, other: Span) -> bool:
    """Whether all of it lies after all of the other."""
    return one.earliest is not None and other.latest is not None and one.earliest > other.latest
