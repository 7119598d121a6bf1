"""What was found, part by part."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from catalog.instruments.models import Part
from catalog.originality.models import Finding
from catalog.originality.queries import parts_of
from catalog.originality.rules import NOT_EXAMINED, Word, spoken
from catalog.public.shown.wording import lowered


@dataclass(frozen=True)
class FoundPart:
    """One examined part."""

    name: str
    state: str
    word: str
    evidence: str
    note: str


@dataclass(frozen=True)
class Originality:
    """All that was found: by groups of the sheet, with what has not been looked at."""

    says: str
    groups: list[tuple[str, list[FoundPart]]]
    examined: int
    parts: int
    not_examined: list[str]


def originality(instrument: Any) -> Originality:
    """All findings of an instrument that came through catalog.public.queries.pages."""
    leaves = _leaves(instrument.kind.parts.all())
    findings = [row for row in instrument.findings.all() if row.state != NOT_EXAMINED]
    examined = {row.part_id for row in findings}
    missing = [part.name for part in leaves if part.pk not in examined]
    return Originality(
        says=spoken(
            Word(instrument.word),
            parts_of(instrument),
            made=_name_of(instrument.configuration_made),
            stands=_name_of(instrument.configuration_now),
        ),
        groups=_groups(findings),
        examined=len(leaves) - len(missing),
        parts=len(leaves),
        not_examined=[lowered(name) for name in missing],
    )


def _name_of(row: Any) -> str:
    return row.name if row else ""


def _leaves(parts: Iterable[Part]) -> list[Part]:
    """The parts that are examined; those with children are headings."""
    parts = list(parts)
    headings = {part.parent_id for part in parts}
    return [part for part in parts if part.pk not in headings]


def _groups(findings: Iterable[Finding]) -> list[tuple[str, list[FoundPart]]]:
    rows = groupby(findings, key=lambda row: row.part.parent.name if row.part.parent else row.part.name)
    return [(group, [_found_part(row) for row in found]) for group, found in rows]


def _found_part(row: Finding) -> FoundPart:
    return FoundPart(row.part.name, row.state, row.get_state_display(), row.evidence, row.note)
