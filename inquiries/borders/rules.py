"""From materials, dates, countries and purpose to lines: what is likely needed, what is missing, when to ask.

The rules themselves are rows that the owner extends (rules.json ships the first). General information, not legal
advice: no line ever says that nothing is needed, only that these rules found nothing. Widening the span of the make
never turns a line that asks or needs into one that found nothing (tests/inquiries/borders/test_rules.py).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, Final

from inquiries.borders.conditions import (
    Alternatives,
    Case,
    Item,
    Shipment,
    Span,
    Sure,
    both,
    either,
    opposite,
)

ABOUT: Final = (
    5  # years to either side of a doubtful date; the shop's own choice, which only ever makes it ask
)
# The members by ISO 3166 (Greece is GR). Source: Eurostat, Statistics Explained, “Glossary: Country codes”, read in a
# stored copy on 26 November 2026; that they are the same since 1 February 2020, and that goods between two of them
# cross no customs border, from memory. Lands of a member with letters of their own (GP, IC, AX …) are not among them.
EU: Final = frozenset(
    "AT BE BG CY CZ DE DK EE ES FI FR GR HR HU IE IT LT LU LV MT NL PL PT RO SE SI SK".split()  # noqa: SIM905
)


class Verdict(StrEnum):
    """What a line comes to."""

    REFUSED = "refused"
    NEEDED = "needed"
    ASK = "ask"
    CLASS = "class"
    NONE = "none"


ORDER: Final = list(Verdict)
SAID: Final = {
    Verdict.REFUSED: "Generally refused",
    Verdict.NEEDED: "Likely needed",
    Verdict.ASK: "Ask the authority",
    Verdict.CLASS: "Likely class",
    Verdict.NONE: "None found by this rule",
}


class Way(StrEnum):
    """Which shipments a rule reaches."""

    CROSSING = "crossing"
    LEAVING = "leaving"
    ENTERING = "entering"
    EITHER = "either"
    INSIDE = "inside"


@dataclass(frozen=True)
class Rule:
    """One rule of one law. Without species and without sort it concerns the piece as a whole.

    It is in force from its first day, that day among them, until its last, that day not among them.
    """

    key: str
    law: str
    says: str
    otherwise: str = ""
    taxa: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    sort: str = ""
    way: str = Way.CROSSING
    countries: tuple[str, ...] = ()
    since: date | None = None
    until: date | None = None
    applies_if: Alternatives = ()
    unless: Alternatives = ()
    outcome: str = Verdict.NEEDED
    source: str = ""
    read_on: date | None = None
    certainty: str = ""

    @property
    def of_the_piece(self) -> bool:
        """Whether it concerns the piece rather than one of its materials."""
        return not self.taxa and not self.sort


@dataclass(frozen=True)
class Line:
    """What one rule says of one material, or of the piece, with what is missing to be sure, and its source."""

    verdict: Verdict
    law: str
    about: str
    says: str
    missing: tuple[str, ...] = ()
    source: str = ""
    read_on: str = ""
    certainty: str = ""
    rule: str = ""

    def as_data(self) -> dict[str, Any]:
        """As it is kept."""
        return {**self.__dict__, "verdict": str(self.verdict), "missing": list(self.missing)}


def check(rules: Iterable[Rule], shipment: Shipment) -> list[Line]:
    """Every line that the rules in force on the day of the shipment have to say, the gravest first."""
    found = _unknown(shipment)
    for rule in rules:
        if in_force(rule, shipment.on) and reaches(rule, shipment):
            found += _lines(rule, shipment)
    return sorted(found, key=lambda line: ORDER.index(line.verdict))


def in_force(rule: Rule, on: date) -> bool:
    """Whether the rule is law on that day."""
    return (rule.since is None or rule.since <= on) and (rule.until is None or on < rule.until)


def reaches(rule: Rule, shipment: Shipment) -> bool:
    """Whether the rule reaches a shipment on this way."""
    out = _among(shipment.leaving, rule.countries)
    into = _among(shipment.entering, rule.countries)
    if _same_side(shipment):
        return rule.way == Way.INSIDE and out
    reached = {
        Way.CROSSING: out or into,
        Way.LEAVING: out,
        Way.ENTERING: into,
        Way.EITHER: out or into,
        Way.INSIDE: False,
    }
    return reached[Way(rule.way)]


def _same_side(shipment: Shipment) -> bool:
    return not crosses_customs(shipment.leaving, shipment.entering)


def crosses_customs(leaving: str, entering: str) -> bool:
    """Whether goods from one country to the other pass customs: not inside a country, nor inside the Union."""
    return leaving != entering and not {leaving, entering} <= EU


def _among(country: str, countries: tuple[str, ...]) -> bool:
    return not countries or country in countries or ("EU" in countries and country in EU)


def concerns(rule: Rule, item: Item) -> Sure:
    """Whether the rule concerns the material: not to be told when only some of what it can be is listed."""
    if not item.species:
        return bool(rule.sort) and not rule.taxa and rule.sort == item.sort
    if rule.sort and rule.sort != item.sort:
        return False
    if not rule.taxa:
        return True
    each = [_listed(name, rule) for name in item.species]
    if all(value is True for value in each):
        return True
    return False if all(value is False for value in each) else None


def _listed(name: str, rule: Rule) -> Sure:
    """Whether one species is listed; a genus alone may be any of its species."""
    kept_out = either(_within(name, taxon) for taxon in rule.without)
    return both([either(_within(name, taxon) for taxon in rule.taxa), opposite(kept_out)])


def _within(name: str, taxon: str) -> Sure:
    one, other = name.casefold(), taxon.casefold()
    if one == other or one.startswith(f"{other} "):
        return True
    return None if other.startswith(f"{one} ") else False


def _lines(rule: Rule, shipment: Shipment) -> list[Line]:
    if rule.of_the_piece:
        return [_line(rule, Case(shipment, None), True)]
    known = [(item, concerns(rule, item)) for item in shipment.items]
    concerned = tuple(item for item, sure in known if sure is not False)
    return [_line(rule, Case(shipment, item, concerned), sure) for item, sure in known if sure is not False]


def _line(rule: Rule, case: Case, concerned: Sure) -> Line:
    applies = _met(rule.applies_if, case) if rule.applies_if else True
    exempt = _met(rule.unless, case)
    sure = both([concerned, applies, opposite(exempt)])
    verdict = Verdict(rule.outcome) if sure else Verdict.ASK if sure is None else Verdict.NONE
    says = rule.says if sure is not False else rule.otherwise or "None found by this rule."
    return Line(
        verdict=verdict,
        law=rule.law,
        about=case.item.name if case.item else "",
        says=says,
        missing=tuple(_missing(rule, case, concerned, sure)),
        source=rule.source,
        read_on=rule.read_on.isoformat() if rule.read_on else "",
        certainty=rule.certainty,
        rule=rule.key,
    )


def _met(ways: Alternatives, case: Case) -> Sure:
    return either(both(condition.holds(case) for condition in way) for way in ways)


def _missing(rule: Rule, case: Case, concerned: Sure, sure: Sure) -> list[str]:
    """What would settle it, each said once."""
    wanted = [] if concerned else ["which species it is, and how that is known"]
    if case.item and not case.item.evidence and concerned:
        wanted.append("how the material is known")
    conditions = [one for ways in (rule.applies_if, rule.unless) for way in ways for one in way]
    if case.item and any(one.of_the_part for one in conditions):
        wanted += case.item.doubts
    if sure is None:
        wanted += [one.wanted for one in conditions if one.holds(case) is None]
    return list(dict.fromkeys(wanted))


def _unknown(shipment: Shipment) -> list[Line]:
    """What no rule can be tried on, said before anything else."""
    found = [
        Line(
            Verdict.ASK,
            "The record",
            item.name,
            "Its species is not known, so rules about species cannot be tried on it.",
            ("which species it is, and how that is known",),
        )
        for item in shipment.items
        if not item.species and item.sort in ("plant", "animal")
    ]
    if not shipment.items:
        says = "The record names no material, so no rule about materials can be tried."
        found.append(Line(Verdict.ASK, "The record", "", says, ("what each part is made of",)))
    return found


def widened(span: Span, *, doubtful: bool) -> Span:
    """The span with ABOUT years to either side when its date is doubtful."""
    if not doubtful:
        return span
    first, last = span
    return Span(
        first and date(first.year - ABOUT, 1, 1),
        last and date(last.year + ABOUT, 12, 31),
    )
