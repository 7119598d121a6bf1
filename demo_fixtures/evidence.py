"""What the invented dealer found: part by part, what dates a piece, what is unusual, where it has been."""

from datetime import datetime
from typing import Any

from catalog.dating.models import DatingEvidence, Feature, NumberRange
from catalog.dating.numbers import lines_that_hold, split_number
from catalog.features.actions import Judgement, keep_features
from catalog.features.queries import seen_on
from catalog.features.rules import key_of
from catalog.instruments.models import FoundNumber, Instrument
from catalog.originality.actions import Found, examine
from catalog.papers.models import Paper
from catalog.pictures.models import Photograph
from catalog.provenance.models import Provenance
from catalog.striking.actions import confirm, strike
from demo_fixtures.clock import Clock
from shop.models import User

Row = dict[str, Any]
FOUND = set(Found._fields) - {"photograph", "paper"}
ENTERED = ("when", "kind", "public", "private", "person", "consent_on", "consent_how")
DATING = ("kind", "weight", "says", "when", "source", "note")


class Evidence:
    """One instrument of the fixtures with the pictures and papers that its rows point to."""

    def __init__(self, row: Row, instrument: Instrument, papers: dict[str, Paper]) -> None:
        self.row = row
        self.instrument = instrument
        self.papers = papers
        self.numbers = list(instrument.numbers.all())
        pictures = instrument.photographs.select_related("view")
        self.pictures = {picture.view.slug: picture for picture in pictures if picture.view}

    def picture(self, row: Row) -> Photograph | None:
        """The picture that a row names by its view; a name that no picture has is an error."""
        return self.pictures[row["picture"]] if "picture" in row else None

    def paper(self, row: Row) -> Paper | None:
        """The paper that a row names by its key."""
        return self.papers[row["paper"]] if "paper" in row else None

    def number(self, row: Row) -> FoundNumber | None:
        """The number that a row names by its place among those found."""
        return self.numbers[row["number"]] if "number" in row else None


def load_evidence(
    row: Row, instrument: Instrument, papers: dict[str, Paper], *, owner: User, clock: Clock
) -> None:
    """Write down all that was found on the day the pictures were taken."""
    evidence = Evidence(row, instrument, papers)
    at = looked_at(row, clock)
    _examine(evidence, owner, at)
    for found in row.get("dating", []):
        kept = DatingEvidence.objects.create(instrument=instrument, **_dating(evidence, found))
        if "struck" in found:
            _strike(kept, found["struck"], owner, at)
    for position, entry in enumerate(row.get("provenance", [])):
        said = {name: entry[name] for name in ENTERED if name in entry}
        Provenance.objects.create(
            instrument=instrument, position=position, paper=evidence.paper(entry), **said
        )
    _keep_features(evidence, owner, at)


def _strike(row: DatingEvidence, reason: str, owner: User, at: datetime) -> None:
    """Strike it off; without a reason nobody has confirmed that yet."""
    strike(row, by=owner, at=at)
    if reason:
        confirm(row, reason, by=owner, at=at)


def looked_at(row: Row, clock: Clock) -> datetime:
    """An hour after the pictures: a day before the listing, or after the piece came in."""
    listed = row.get("listed_days_ago")
    return clock.at(listed + 1 if listed is not None else row["acquired"]["days_ago"] - 1, 16)


def _examine(evidence: Evidence, owner: User, at: datetime) -> None:
    parts = {part.slug: part for part in evidence.instrument.kind.parts.all()}
    found = {
        parts[part["part"]]: Found(
            **{name: part[name] for name in FOUND if name in part},
            photograph=evidence.picture(part),
            paper=evidence.paper(part),
        )
        for part in evidence.row.get("parts", [])
    }
    examine(evidence.instrument, found, by=owner, at=at)


def _dating(evidence: Evidence, row: Row) -> Row:
    said = {name: row[name] for name in DATING if name in row}
    said |= {
        "number": evidence.number(row),
        "photograph": evidence.picture(row),
        "paper": evidence.paper(row),
    }
    if row.get("table"):
        line = _line_of(evidence, row)
        said |= {"found_in": line, "when": line.when, "source": _cited(line.table.source, line.page)}
    if "feature" in row:
        feature = Feature.objects.get(maker=evidence.instrument.maker, name=row["feature"])
        said |= {"feature": feature, "when": feature.when, "source": _cited(feature.source, feature.page)}
    return said


def _line_of(evidence: Evidence, row: Row) -> NumberRange:
    """The one line of the maker's tables in which the number stands."""
    number = evidence.numbers[row["number"]]
    figures = split_number(number.value)
    tables = NumberRange.objects.filter(table__maker=evidence.instrument.maker, table__what=number.what)
    lines = lines_that_hold(figures, tables.select_related("table")) if figures else []
    (line,) = lines
    return line


def _cited(source: str, page: str) -> str:
    return f"{source}, {page}" if page else source


def _keep_features(evidence: Evidence, owner: User, at: datetime) -> None:
    """What was seen by the model's list; a verdict speaks of what was seen, or of the measurement taken."""
    seen = evidence.row.get("seen_features", {})
    measured = seen_on(evidence.instrument)
    values = {**measured, **{key_of(what): value for what, value in seen.items()}}
    judged = {
        row["what"]: Judgement(
            values[key_of(row["what"])],
            row["verdict"],
            row.get("evidence", ""),
            evidence.picture(row),
            evidence.paper(row),
        )
        for row in evidence.row.get("unusual", [])
    }
    if seen or judged:
        keep_features(evidence.instrument, seen, judged, by=owner, at=at)
