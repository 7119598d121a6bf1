"""One rule on originality in two texts: what Python says of a page and SQL of a list is the same."""

import random
from collections.abc import Iterator

import pytest
from django.db.models import Q

from catalog.models import Configuration, Finding, Instrument, Kind, Part, StockNumber
from catalog.originality.queries import leaf_parts, parts_of, with_word
from catalog.originality.rules import Word, exceptions, word
from tests.factories import NOON, InstrumentFactory

pytestmark = pytest.mark.django_db

STATES = [state.value for state in Finding.State]
# Few parts, so that chance meets every word; a sheet without a body or a neck must follow the rule as well.
SHEETS = {
    "whole": ["body", "body", "neck", "finish", "case", "", ""],
    "one-body": ["body", "neck", "finish"],
    "bare": ["", "case"],
    "two-necks": ["neck", "neck", "finish", "finish"],
    "empty": [],
}
ROUNDS = 120


def sheet(slug: str, roles: list[str]) -> Kind:
    """A kind whose parts stand under a heading, but for the last, which stands by itself."""
    kind = Kind.objects.create(slug=slug, name=slug, plural=slug)
    Configuration.objects.bulk_create(Configuration(kind=kind, slug=name, name=name) for name in ("a", "b"))
    heading = Part.objects.create(kind=kind, slug="heading", name="Heading", role="neck") if roles else None
    for number, role in enumerate(roles):
        under = heading if number < len(roles) - 1 else None
        Part.objects.create(
            kind=kind, slug=f"part-{number}", name=f"Part {number}", role=role, parent=under, position=number
        )
    return kind


def many(kind: Kind, chance: random.Random) -> Iterator[Instrument]:
    """Records of that kind, each with states and configurations by chance, from mostly well to anyhow."""
    configurations = [None, *kind.configurations.all()]
    parts = list(kind.parts.all())
    for number in range(ROUNDS):
        made, now = chance.choice(configurations), chance.choice(configurations)
        if chance.random() < 0.7:
            now = made
        stock = StockNumber.objects.create(number=900_000 + kind.pk * 1000 + number, given_at=NOON)
        instrument = Instrument.objects.create(
            stock=stock,
            kind=kind,
            configuration_made=made,
            configuration_now=now,
            created_at=NOON,
            changed_at=NOON,
        )
        anyhow = chance.choice([0, 0.1, 0.3, 1])
        Finding.objects.bulk_create(
            Finding(instrument=instrument, part=part, state=state, evidence="Seen", examined_at=NOON)
            for part in parts
            if (state := by_chance(chance, anyhow))
        )
        yield instrument


def by_chance(chance: random.Random, anyhow: float) -> str | None:
    """A state, or None for a part without a row."""
    if chance.random() < anyhow:
        return chance.choice([None, *STATES])
    return chance.choice(["original", "original", "repaired", "never-fitted"])


def test_python_and_sql_agree_on_many_records() -> None:
    chance = random.Random(1931)
    made = [one for slug, roles in SHEETS.items() for one in many(sheet(slug, roles), chance)]
    rows = with_word(Instrument.objects.filter(pk__in=[one.pk for one in made])).prefetch_related(
        "findings", "kind__parts"
    )
    seen = set()
    for row in rows:
        found = parts_of(row)
        expected = word(found, converted=row.converted)
        assert (row.word, row.exceptions) == (expected, len(exceptions(found))), (row.kind, found)  # type: ignore[attr-defined]
        seen.add(expected)
    assert len(rows) == ROUNDS * len(SHEETS)
    assert seen == set(Word)


def test_parts_come_in_the_order_of_the_sheet_and_cost_no_further_query(
    django_assert_num_queries: object,
) -> None:
    instrument = InstrumentFactory()
    nut = Part.objects.get(kind=instrument.kind, slug="nut")
    Finding.objects.create(
        instrument=instrument,
        part=nut,
        state="later",
        evidence="Seen",
        examined_at=NOON,
        original_kept=True,
        original_where="In the case",
    )
    row = Instrument.objects.prefetch_related("findings", "kind__parts").get(pk=instrument.pk)
    with django_assert_num_queries(0):  # type: ignore[operator]
        found = parts_of(row)
        headings = [part.parent.name for part in leaf_parts(row) if part.parent]
    leaves = Part.objects.filter(Q(kind=instrument.kind), children=None)
    assert sorted(part.name for part in found) == sorted(leaves.values_list("name", flat=True))
    assert [part.name for part in found][:3] == ["Rim", "Tone ring", "Flange"]
    assert {part.state for part in found if part.name != "Nut"} == {"not-examined"}
    assert next(part for part in found if part.name == "Nut") == ("Nut", "later", "", True, "In the case")
    assert headings == sorted(headings, key=list(dict.fromkeys(headings)).index), "each heading's together"
