"""What is unusual on this model, as far as somebody has said what to make of it."""

from dataclasses import dataclass
from typing import Any

from catalog.features.models import Unusual
from catalog.features.queries import differences_of, seen_as_said
from catalog.features.rules import Difference, Usual, key_of
from catalog.public.shown.anchors import anchors
from shop.wording import shipped


@dataclass(frozen=True)
class UnusualThing:
    """One confirmed difference: `usual` is pairs of value and source; `picture` is an anchor on the page."""

    what: str
    seen: str
    usual: list[tuple[str, str]]
    verdict: str
    evidence: str
    picture: str
    paper: str


def unusual(instrument: Any) -> list[UnusualThing]:
    """The confirmed differences of an instrument that came through catalog.public.queries.pages."""
    confirmed = [difference for difference in differences_of(instrument) if difference.verdict]
    if not confirmed:
        return []
    rows = {key_of(row.what): row for row in instrument.unusual.all()}
    seen, places = seen_as_said(instrument), anchors(instrument.ready)
    return [
        _shown(difference, rows[key], seen[key], places)
        for difference in confirmed
        for key in [key_of(difference.what)]
    ]


def _shown(difference: Difference, row: Unusual, seen: str, places: dict[int, str]) -> UnusualThing:
    paper = row.paper
    return UnusualThing(
        what=shipped(difference.what),
        seen=seen,
        usual=[(_value(usual), usual.source) for usual in difference.usual],
        verdict=row.get_verdict_display(),
        evidence=row.evidence,
        picture=places.get(row.photograph_id or 0, ""),
        paper=paper.title if paper and paper.public else "",
    )


def _value(usual: Usual) -> str:
    """A usual value with its years, where it has any."""
    return f"{usual.value} ({usual.years})" if usual.years else usual.value
