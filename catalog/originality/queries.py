"""Originality read off the record: of one instrument part by part, and the word for many at once."""

from collections.abc import Iterable

from django.db.models import Case, Count, Exists, F, OuterRef, Q, QuerySet, Subquery, Value, When
from django.db.models.functions import Coalesce

from catalog.instruments.models import Instrument, Part
from catalog.instruments.queries import InstrumentQuerySet
from catalog.originality.models import Finding
from catalog.originality.rules import (
    AS_MADE,
    BODY,
    FINISH,
    GONE,
    NECK,
    NEVER_FITTED,
    NOT_EXAMINED,
    RENEWED,
    PartFound,
    Word,
    spoken,
    word,
)
from shop.wording import shipped


def leaf_parts(instrument: Instrument) -> list[Part]:
    """The parts that are examined, each heading's together, in the order of the sheet.

    Costs no query when the kind's parts are prefetched; each part's `parent` is at hand either way.
    """
    parts = list(instrument.kind.parts.all())
    known = {part.pk: part for part in parts}
    for part in parts:
        if part.parent_id in known:
            part.parent = known[part.parent_id]
    headings = {part.parent_id for part in parts}
    leaves = [part for part in parts if part.pk not in headings]
    return sorted(leaves, key=lambda part: ((part.parent or part).position, (part.parent or part).pk))


def parts_of(instrument: Instrument) -> list[PartFound]:
    """Every part of the sheet in its order as it was found, “not-examined” where nothing was written down.

    Costs no query when the kind's parts and the findings are prefetched.
    """
    findings = {row.part_id: row for row in instrument.findings.all()}
    return [_found(part, findings.get(part.pk)) for part in leaf_parts(instrument)]


def spoken_of(instrument: Instrument) -> str:
    """The word on the whole as it heads a listing, from the record as it stands."""
    parts = parts_of(instrument)
    made, stands = instrument.configuration_made, instrument.configuration_now
    return spoken(
        word(parts, converted=instrument.converted),
        parts,
        made=shipped(made.name) if made else "",
        stands=shipped(stands.name) if stands else "",
    )


def _found(part: Part, row: Finding | None) -> PartFound:
    if row is None:
        return PartFound(part.name, NOT_EXAMINED, part.role)
    return PartFound(part.name, row.state, part.role, row.original_kept, row.original_where)


def with_word(instruments: InstrumentQuerySet) -> InstrumentQuerySet:
    """Give each instrument `word`: the value of catalog.originality.rules.word, computed in SQL.

    And `exceptions`: how many examined parts are not the original ones. Two texts of one rule;
    tests/catalog/test_public_originality.py holds them equal.
    """
    leaves = Part.objects.filter(kind=OuterRef("kind"), children=None).order_by()
    found = _found_on_leaves()
    body_gone = Exists(found.filter(part__role=BODY, state__in=GONE))
    neck_gone = Exists(found.filter(part__role=NECK, state__in=GONE))
    body_left = _without(leaves.filter(role=BODY), GONE)
    known = Q(configuration_made__isnull=False, configuration_now__isnull=False)
    worst_that_fits = Case(
        When(Q(body_gone) & (Q(neck_gone) | ~Q(body_left)), then=Value(Word.ASSEMBLED.value)),
        When(known & ~Q(configuration_made=F("configuration_now")), then=Value(Word.CONVERTED.value)),
        When(neck_gone, then=Value(Word.NECK.value)),
        When(Exists(found.filter(part__role=FINISH, state__in=RENEWED)), then=Value(Word.REFINISHED.value)),
        When(_without(leaves, _states() - {NOT_EXAMINED}), then=Value(Word.NOT_FULLY.value)),
        When(
            ~Exists(found.exclude(state__in=[NOT_EXAMINED, NEVER_FITTED])), then=Value(Word.NOT_FULLY.value)
        ),
        When(Exists(_excepted(found)), then=Value(Word.BUT_FOR.value)),
        default=Value(Word.FULLY.value),
    )
    counted = _excepted(found).values("instrument").annotate(many=Count("pk")).values("many")
    return instruments.annotate(word=worst_that_fits, exceptions=Coalesce(Subquery(counted), 0))


def _found_on_leaves() -> QuerySet[Finding]:
    """What was found of the outer instrument; a finding on a part that has become a heading is none."""
    found = Finding.objects.filter(instrument=OuterRef("pk"), part__kind=OuterRef("kind"))
    return found.filter(part__children=None).order_by()


def _excepted(found: QuerySet[Finding]) -> QuerySet[Finding]:
    return found.exclude(state__in=[*AS_MADE, NOT_EXAMINED])


def _without(leaves: QuerySet[Part], states: Iterable[str]) -> Exists:
    """Whether some of these parts has no finding in one of `states`."""
    found = Finding.objects.filter(instrument=OuterRef(OuterRef("pk")), part=OuterRef("pk"), state__in=states)
    return Exists(leaves.filter(~Exists(found)))


def _states() -> set[str]:
    return {state.value for state in Finding.State}
