"""From evidence to a date of make.

Each piece of evidence gives a span of years, open at either end, and is firm or indicative. The date is what
all firm evidence leaves together. Where firm evidence contradicts itself there is no date, and the two pieces
that contradict each other are named: nothing is split, averaged or outvoted.
The rules are this shop's own; intersecting spans is common practice, no source.
"""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from catalog.striking.rules import before_strikings
from shop.wording import gettext as _

# A date with “c.” is carried by evidence that is no wider than this many years. Common practice, no source.
NEAR: Final = 10

Years = tuple[int | None, int | None]
OPEN: Final[Years] = (None, None)


@dataclass(frozen=True, slots=True)
class Evidence:
    """One piece of evidence: what it is, and the first and last year it leaves (None for an open end)."""

    key: Hashable
    says: str
    earliest: int | None
    latest: int | None
    firm: bool

    def __post_init__(self) -> None:
        if self.earliest is not None and self.latest is not None and self.earliest > self.latest:
            raise ValueError(f"{self.earliest} to {self.latest} runs backwards")


@dataclass(frozen=True, slots=True)
class Conclusion:
    """What the evidence says together: a span, or the two pieces that contradict each other, or nothing.

    `reasons` touch an end of the span; `set_aside` is indicative evidence that could not be joined;
    the firm span is what the firm evidence leaves alone.
    """

    earliest: int | None = None
    latest: int | None = None
    reasons: tuple[Evidence, ...] = ()
    contradiction: tuple[Evidence, ...] = ()
    set_aside: tuple[Evidence, ...] = ()
    firm_earliest: int | None = None
    firm_latest: int | None = None

    @property
    def span(self) -> Years:
        """First and last year."""
        return self.earliest, self.latest

    @property
    def firm_span(self) -> Years:
        """First and last year that firm evidence leaves alone."""
        return self.firm_earliest, self.firm_latest

    @property
    def dated(self) -> bool:
        """Whether there is a span, closed at one end at least."""
        return self.span != OPEN

    @property
    def indicated_only(self) -> bool:
        """Whether there is a span, and nothing firm in it."""
        return self.dated and self.firm_span == OPEN


class Agreement(StrEnum):
    """How a stated date agrees with the evidence."""

    SUPPORTED = "supported"
    CONTRADICTED = "contradicted"
    NOT_ESTABLISHED = "not-established"


def conclude(evidence: Iterable[Evidence]) -> Conclusion:
    """What the evidence says together; the order it comes in makes no difference.

    Firm evidence is intersected. If nothing is left, two of its pieces contradict each other already: the one
    that begins latest begins after the one that ends earliest, for otherwise every piece would hold the years
    from that beginning to that end, and they would all agree. So the smallest set that contradicts is always a
    pair, and the pair named is that of the latest beginning and the earliest end. One piece never contradicts.

    Indicative evidence (hearsay too) narrows what firm evidence leaves and never beats it. What does not meet
    the firm span is set aside; of the rest, pieces that contradict one another are set aside all of them, since
    nothing says which is right. Those left meet two by two, so they have years in common, all of them.
    """
    pieces = _in_order(evidence)
    firm = [piece for piece in pieces if piece.firm]
    if pair := _contradiction(firm):
        return Conclusion(contradiction=pair)
    ground = _together(firm)
    near = [piece for piece in pieces if not piece.firm and _meet(_span(piece), ground)]
    joined = [one for one in near if all(_meet(_span(one), _span(other)) for other in near)]
    used = [*firm, *joined]
    earliest, latest = _together(used)
    return Conclusion(
        earliest=earliest,
        latest=latest,
        reasons=tuple(piece for piece in used if _binds(piece, earliest, latest)),
        set_aside=tuple(piece for piece in pieces if piece not in used),
        firm_earliest=ground[0],
        firm_latest=ground[1],
    )


def agreement(
    earliest: int | None, latest: int | None, approximate: bool, conclusion: Conclusion
) -> Agreement:
    """How a stated date agrees with the evidence; `approximate` for one stated with “c.” or “probably”.

    Contradicted: no year of it is left by firm evidence. Indicative evidence alone contradicts nothing.
    Supported: all years that firm evidence leaves lie within it, so it says no more than is known.
    A date stated as approximate may rest on indicative evidence too, and it is supported as well when it
    lies wholly within evidence of ten years at most. An open end counts as running on for ever: “not before
    1924” holds 1925 to 1928; 1925 to 1928 does not hold “1925 or later”, which is wider.
    Not established: everything else — more exact than the evidence, nothing stated, no evidence, or
    evidence that contradicts itself.
    """
    stated = (earliest, latest)
    if stated == OPEN or conclusion.contradiction or not conclusion.dated:
        return Agreement.NOT_ESTABLISHED
    if not _meet(stated, conclusion.firm_span):
        return Agreement.CONTRADICTED
    ground = conclusion.span if approximate else conclusion.firm_span
    if _within(ground, stated) or (approximate and _near(ground) and _within(stated, ground)):
        return Agreement.SUPPORTED
    return Agreement.NOT_ESTABLISHED


def agreement_before_strikings(
    earliest: int | None,
    latest: int | None,
    approximate: bool,
    standing: Sequence[Evidence],
    struck: Sequence[Evidence],
) -> Agreement:
    """How a stated date agrees with the evidence, of which some was struck off without a reason kept as yet.

    Supported only if it was so before each striking too: taking evidence away supports nothing.
    """
    agrees = agreement(earliest, latest, approximate, conclude(standing))
    if agrees != Agreement.SUPPORTED:
        return agrees
    earlier = (conclude(evidence) for evidence in before_strikings(standing, struck))
    held = all(agreement(earliest, latest, approximate, one) == Agreement.SUPPORTED for one in earlier)
    return Agreement.SUPPORTED if held else Agreement.NOT_ESTABLISHED


def years(earliest: int | None, latest: int | None) -> str:
    """A span in words: 1927; 1925 to 1928; 1924 or later; 1930 or earlier."""
    if earliest is None and latest is None:
        return _("any year")
    if latest is None:
        return _("%(first)s or later") % {"first": earliest}
    if earliest is None:
        return _("%(last)s or earlier") % {"last": latest}
    if earliest == latest:
        return str(earliest)
    return _("%(first)s to %(last)s") % {"first": earliest, "last": latest}


def spoken(conclusion: Conclusion) -> list[str]:
    """The conclusion in sentences, with its reasons and with what speaks against it."""
    if conclusion.contradiction:
        one, other = conclusion.contradiction
        return [
            _(
                "The evidence contradicts itself, so no date is drawn from it: "
                "%(one)s cannot stand beside %(other)s."
            )
            % {"one": _named(one), "other": _named(other)}
        ]
    return [*_dated_in_words(conclusion), *_set_aside_in_words(conclusion)]


def made(conclusion: Conclusion) -> str:
    """The span alone, as a sentence begins: Made in 1927; Made between 1925 and 1928; Not made before 1924."""
    span = {"first": conclusion.earliest, "last": conclusion.latest}
    if not conclusion.dated:
        return _("Nothing dates it yet")
    if conclusion.latest is None:
        return _("Not made before %(first)s") % span
    if conclusion.earliest is None:
        return _("Not made after %(last)s") % span
    if conclusion.earliest == conclusion.latest:
        return _("Made in %(first)s") % span
    return _("Made between %(first)s and %(last)s") % span


def agreement_in_words(
    stated: str, agrees: Agreement, conclusion: Conclusion, *, held_back: bool = False
) -> str:
    """How a date, `stated` in its own words, agrees with the evidence: one sentence.

    `held_back` when only evidence that was struck off keeps it from being established.
    """
    if not stated:
        return _("No date of make is stated.")
    told = {"date": stated, "years": years(*conclusion.firm_span)}
    if agrees == Agreement.SUPPORTED:
        return _("The stated date, %(date)s, is carried by the evidence.") % told
    if agrees == Agreement.CONTRADICTED:
        return _("The stated date, %(date)s, is contradicted: firm evidence leaves %(years)s.") % told
    if held_back:
        return (
            _(
                "The stated date, %(date)s, is not established while evidence that was struck off is looked into."
            )
            % told
        )
    if conclusion.contradiction:
        return (
            _("The stated date, %(date)s, is not established while the evidence contradicts itself.") % told
        )
    if not conclusion.dated:
        return (
            _("The stated date, %(date)s, is not established: nothing on the record dates the piece.") % told
        )
    told["years"] = years(*conclusion.span)
    if conclusion.indicated_only:
        return (
            _("The stated date, %(date)s, is not established: the evidence leaves %(years)s, indicated only.")
            % told
        )
    return _("The stated date, %(date)s, is not established: the evidence leaves %(years)s.") % told


def _dated_in_words(conclusion: Conclusion) -> list[str]:
    if not conclusion.dated:
        return [_("Nothing dates it yet.")]
    said = [_made_because(conclusion)]
    if conclusion.indicated_only:
        said.append(_("This is indicated only: nothing firm dates it yet."))
    elif conclusion.span != conclusion.firm_span:
        firm = {"years": years(*conclusion.firm_span)}
        said.append(_("What is firm says no more than %(years)s.") % firm)
    return said


def _made_because(conclusion: Conclusion) -> str:
    """The span with its reasons."""
    reasons = _listed(conclusion.reasons)
    told = {"first": conclusion.earliest, "last": conclusion.latest, "reasons": reasons}
    if conclusion.latest is None:
        return _("Not made before %(first)s: %(reasons)s.") % told
    if conclusion.earliest is None:
        return _("Not made after %(last)s: %(reasons)s.") % told
    if conclusion.earliest == conclusion.latest:
        return _("Made in %(first)s: %(reasons)s.") % told
    return _("Made between %(first)s and %(last)s: %(reasons)s.") % told


def _set_aside_in_words(conclusion: Conclusion) -> list[str]:
    """Why each piece was set aside: against what is firm, or against one another."""
    ground = conclusion.firm_span
    against = [piece for piece in conclusion.set_aside if not _meet(_span(piece), ground)]
    apart = [piece for piece in conclusion.set_aside if _meet(_span(piece), ground)]
    said = []
    if against:
        because = _("Set aside, because firm evidence says otherwise: %(evidence)s.")
        said.append(because % {"evidence": _listed(against)})
    if apart:
        because = _("Set aside, because they contradict each other and are not firm: %(evidence)s.")
        said.append(because % {"evidence": _listed(apart)})
    return said


def _listed(pieces: Sequence[Evidence]) -> str:
    return "; ".join(_named(piece) for piece in pieces)


def _named(piece: Evidence) -> str:
    named = _("“%(what)s” (%(years)s, firm)") if piece.firm else _("“%(what)s” (%(years)s, indicative)")
    return named % {"what": piece.says, "years": years(*_span(piece))}


def _in_order(evidence: Iterable[Evidence]) -> list[Evidence]:
    """Firm first, then narrow before wide, so that what comes out never depends on what came first."""
    return sorted(
        evidence,
        key=lambda piece: (not piece.firm, _width(piece), *_ends(piece), piece.says, repr(piece.key)),
    )


def _width(piece: Evidence) -> float:
    first, last = _ends(piece)
    return last - first


def _contradiction(firm: Sequence[Evidence]) -> tuple[Evidence, ...]:
    """The piece that ends earliest and the piece that begins latest, when the one ends before the other begins."""
    if not firm:
        return ()
    ends, begins = min(firm, key=lambda piece: _ends(piece)[1]), max(firm, key=lambda piece: _ends(piece)[0])
    return (ends, begins) if _ends(begins)[0] > _ends(ends)[1] else ()


def _together(pieces: Iterable[Evidence]) -> Years:
    """The years that all `pieces` leave, of which it is known that there are some."""
    spans = [_span(piece) for piece in pieces]
    return (
        max((first for first, _ in spans if first is not None), default=None),
        min((last for _, last in spans if last is not None), default=None),
    )


def _binds(piece: Evidence, earliest: int | None, latest: int | None) -> bool:
    begins = earliest is not None and piece.earliest == earliest
    return begins or (latest is not None and piece.latest == latest)


def _span(piece: Evidence) -> Years:
    return piece.earliest, piece.latest


def _ends(piece: Evidence) -> tuple[float, float]:
    return _numbers(_span(piece))


def _numbers(span: Years) -> tuple[float, float]:
    """The ends as numbers that compare; an open end lies beyond every year."""
    first, last = span
    return -float("inf") if first is None else first, float("inf") if last is None else last


def _meet(one: Years, other: Years) -> bool:
    (first, last), (begins, ends) = _numbers(one), _numbers(other)
    return first <= ends and begins <= last


def _within(inner: Years, outer: Years) -> bool:
    (first, last), (begins, ends) = _numbers(inner), _numbers(outer)
    return begins <= first and last <= ends


def _near(span: Years) -> bool:
    first, last = span
    return first is not None and last is not None and last - first < NEAR
