"""What one record leaves open."""

from collections.abc import Iterator

from catalog.instruments.models import Instrument
from catalog.originality.rules import NOT_EXAMINED
from catalog.publishing.rules import Open, Place, Question, questions


def buyers_questions(instrument: Instrument) -> list[Question]:
    """What buyers would ask of this piece and the record does not answer yet, those asked most first."""
    return questions(_left_open(instrument))


def _left_open(instrument: Instrument) -> Iterator[Open]:
    yield from _parts(instrument)
    taken = set(instrument.measurements.values_list("measure", flat=True))
    for measure in instrument.kind.measures.all():
        if measure.pk not in taken:
            yield Open(Place.MEASURE, measure.name)
    shown = {photograph.view_id for photograph in instrument.photographs.all() if photograph.state == "ready"}
    for view in instrument.kind.views.all():
        if view.pk not in shown and not view.slug.startswith("detail"):
            yield Open(Place.VIEW, view.name)
    if not instrument.dating.exists():
        yield Open(Place.DATE)
    if not instrument.hear_at and not instrument.recordings.ready().exists():
        yield Open(Place.SOUND)
    if not instrument.provenance.exists():
        yield Open(Place.PAST)


def _parts(instrument: Instrument) -> Iterator[Open]:
    examined = {row.part_id for row in instrument.findings.all() if row.state != NOT_EXAMINED}
    parts = list(instrument.kind.parts.all())
    headings = {part.parent_id for part in parts}
    for part in parts:
        if part.pk not in headings and part.pk not in examined:
            yield Open(Place.PART, part.name)
