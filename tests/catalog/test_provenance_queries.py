"""A record's own entries, as the rules read them."""

from datetime import UTC, datetime
from typing import Any

import pytest

from catalog.models import Instrument, Provenance
from catalog.provenance.queries import contradictions_of, disagree, gaps_of, spans
from tests.factories import InstrumentFactory

pytestmark = pytest.mark.django_db


def piece(**made: Any) -> Instrument:
    instrument: Instrument = InstrumentFactory(created_at=datetime(2024, 3, 1, tzinfo=UTC), **made)
    return instrument


def add(instrument: Instrument, when: str, kind: str, **more: Any) -> Provenance:
    return Provenance.objects.create(
        instrument=instrument, when=when, kind=kind, position=instrument.provenance.count(), **more
    )


READINGS = [
    ("1931", 1931, 1931, False, False),
    ("c. 1931", 1931, 1931, True, False),
    ("probably 1931", 1931, 1931, True, False),
    ("c. 1926 to 1958", 1926, 1958, True, False),
    ("1931 to 1964", 1931, 1964, False, False),
    ("1920s", 1920, 1929, False, True),
    ("1927 or 1928", 1927, 1928, False, True),
    ("not before 1919", 1919, None, False, False),
    ("not after 1930", None, 1930, False, False),
]


@pytest.mark.parametrize(("when", "earliest", "latest", "doubtful", "one_of"), READINGS)
def test_what_was_typed_becomes_years_with_their_doubt(
    when: str, earliest: int | None, latest: int | None, doubtful: bool, one_of: bool
) -> None:
    span = spans([add(piece(), when, "owned")])[0]
    assert (span.says, span.kind) == (f"Owned, {when}", "owned")
    assert (span.earliest, span.latest, span.doubtful, span.one_of) == (earliest, latest, doubtful, one_of)


def test_a_record_without_a_date_of_make_has_no_gaps_and_may_still_contradict_itself() -> None:
    instrument = piece(made="", made_edtf="", made_earliest=None, made_latest=None)
    add(instrument, "1931 to 1960", "owned")
    add(instrument, "1950 to 1970", "owned")
    assert gaps_of(instrument) == []
    assert contradictions_of(instrument) == [
        "“Owned, 1931 to 1960” and “Owned, 1950 to 1970” share 1950 to 1960. Both cannot have had it at once."
    ]


def test_gaps_run_from_the_make_to_the_year_the_record_was_opened() -> None:
    instrument = piece()
    add(instrument, "1931 to 1964", "owned", private="Told by the niece")
    add(instrument, "1990 to 2023", "dealer", public="A dealer in Quillby")
    assert [tuple(gap) for gap in gaps_of(instrument)] == [(1965, 1989)]


def test_the_date_of_make_joins_in_and_has_no_place_in_the_order() -> None:
    instrument = piece()
    early = add(instrument, "1919", "sold-new")
    add(instrument, "1951", "owned")
    assert contradictions_of(instrument) == [
        "“Sold new, 1919” is before “Date of make, c. 1931”: "
        "nothing can have happened to it before it was made."
    ]
    assert disagree(instrument, [early])
    assert not disagree(instrument, instrument.provenance.exclude(pk=early.pk))


def test_a_make_that_is_said_twice_is_held_against_an_entry_once() -> None:
    instrument = piece()
    for when, kind in [("about 1931", "made"), ("1919", "sold-new")]:
        add(instrument, when, kind)
    told = contradictions_of(instrument)
    assert [sentence.split(":")[0] for sentence in told] == [
        "“Sold new, 1919” is before “Made, about 1931”",
        "“Sold new, 1919” stands after “Made, about 1931” and is earlier. Put them in order of time.",
    ]


def test_a_fetched_record_is_read_without_a_further_query(django_assert_num_queries: Any) -> None:
    add(piece(), "1931 to 1964", "owned")
    with django_assert_num_queries(2):
        instrument = Instrument.objects.prefetch_related("provenance").get()
        gaps_of(instrument)
        contradictions_of(instrument)
