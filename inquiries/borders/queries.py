"""Rows as the rules read them: the rules in use, and a record as a shipment."""

from datetime import date
from typing import Any

from catalog.dating.edtf import Day, End, parse
from catalog.dating.reading import read_date
from catalog.materials.models import PartMaterial
from catalog.models import Finding, Instrument
from catalog.originality.rules import FINISH, GONE, REFINISHED, UNKNOWN
from inquiries.borders.conditions import OPEN, Item, Shipment, Span, alternatives
from inquiries.borders.models import BorderRule
from inquiries.borders.part_rules import dates_of
from inquiries.borders.rules import Rule, widened


def rules_in_use() -> list[Rule]:
    """Every rule that is not retired."""
    return [rule_of(row) for row in BorderRule.objects.filter(retired=None)]


def rule_of(row: BorderRule) -> Rule:
    """One row as the rules read it."""
    return Rule(
        key=row.key,
        law=row.law,
        says=row.says,
        otherwise=row.otherwise,
        taxa=names(row.taxa),
        without=names(row.without),
        sort=row.sort,
        way=row.way,
        countries=tuple(row.countries.upper().replace(",", " ").split()),
        since=row.since,
        until=row.until,
        applies_if=alternatives(row.applies_if),
        unless=alternatives(row.unless),
        outcome=row.outcome,
        source=row.source,
        read_on=row.read_on,
        certainty=row.certainty,
    )


def names(text: str) -> tuple[str, ...]:
    """Scientific names that stand with commas between them."""
    return tuple(name.strip() for name in text.split(",") if name.strip())


def shipment_of(instrument: Instrument, **given: Any) -> Shipment:
    """The record as it would be sent, with what was `given` about the journey."""
    made = span_of(instrument.made_edtf)
    rows = instrument.materials.select_related("part", "material")
    found = {row.part_id: row for row in instrument.findings.all()}
    items = tuple(_item(row, found.get(row.part_id), made) for row in rows)
    return Shipment(made=made, items=items, **given)


def _item(row: PartMaterial, found: Finding | None, made: Span) -> Item:
    original = found is None or not _renewed(found.state, row.part.role)
    put_on = read_date(row.fitted).edtf if row.fitted else ""
    if not original and found:
        put_on = put_on or found.when_edtf  # the date of the work that changed the part
    dates = dates_of(
        made, original=original, fitted=span_of(put_on) if put_on else None, taken=span_of(row.when_edtf)
    )
    return Item(
        name=f"{row.part.name}: {row.material.name}",
        species=row.material.can_be,
        sort=row.material.sort,
        taken=dates.taken,
        fitted=dates.fitted,
        evidence=row.evidence or row.get_seen_display(),
        doubts=dates.doubts,
    )


def _renewed(state: str, role: str) -> bool:
    """Whether what is there now may be later than the make: replaced, not known, or a finish that was renewed."""
    return state in GONE or state == UNKNOWN or (state == REFINISHED and role == FINISH)


def span_of(edtf: str) -> Span:
    """The first and the last day that a date names, wider where it is doubtful; open when there is none."""
    if not edtf:
        return OPEN
    named = parse(edtf)
    span = Span(_day(named.first), _day(named.last))
    return widened(span, doubtful=named.approximate or named.uncertain)


def _day(end: Day | End) -> date | None:
    return None if isinstance(end, End) else date(*end)
