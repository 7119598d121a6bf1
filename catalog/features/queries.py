"""What differs on an instrument from what is usual on its model."""

from catalog.dating.saying import as_said
from catalog.features.models import UsualFeature
from catalog.features.rules import Comparison, Difference, Judged, Usual, compare, key_of
from catalog.instruments.models import Instrument
from catalog.instruments.queries import InstrumentQuerySet
from catalog.public.shown.wording import cited
from shop.wording import in_own


def with_features(instruments: InstrumentQuerySet) -> InstrumentQuerySet:
    """Instruments with all that `comparison_of` reads, in a fixed number of queries."""
    return instruments.select_related("model__maker").prefetch_related(
        "model__usual__measure", "seen_features", "measurements__measure", "unusual"
    )


def comparison_of(instrument: Instrument) -> Comparison:
    """The instrument against its model's list; empty when the model is unknown or has no list."""
    return compare(
        usual_on(instrument),
        seen_on(instrument),
        {row.what: Judged(row.seen, row.verdict, row.evidence) for row in instrument.unusual.all()},
        instrument.made_earliest,
        instrument.made_latest,
    )


def differences_of(instrument: Instrument) -> list[Difference]:
    """Where the instrument differs from what is usual, in the order of the model's list."""
    return comparison_of(instrument).differences


def usual_on(instrument: Instrument) -> list[Usual]:
    """The whole list of the instrument's model, of all years."""
    rows = instrument.model.usual.all() if instrument.model else []
    return [_usual(row) for row in rows]


def seen_on(instrument: Instrument) -> dict[str, str]:
    """What was seen, by the key of what it concerns; where the list names a measure, the record's own measurement.

    In the dealer's own language, since it is compared with what the dealer typed.
    """
    with in_own():
        return seen_as_said(instrument)


def seen_as_said(instrument: Instrument) -> dict[str, str]:
    """The same as a reader is told it: measurements are written in the reader's language."""
    rows = instrument.model.usual.all() if instrument.model else []
    taken = {row.measure.slug: row.shown for row in instrument.measurements.all()}
    seen = {key_of(row.what): row.value for row in instrument.seen_features.all()}
    for row in rows:
        if row.measure:
            seen[key_of(row.what)] = taken.get(row.measure.slug, "")
    return seen


def _usual(row: UsualFeature) -> Usual:
    return Usual(
        what=row.what,
        value=row.value,
        source=cited(row.source, row.page),
        earliest=row.when_earliest,
        latest=row.when_latest,
        quantity=row.measure.quantity if row.measure else "",
        years=as_said(row.when, row.when_edtf),
    )
