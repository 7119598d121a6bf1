"""One rule on originality in two texts: what Python says of a page and SQL of a list is the same."""

from itertools import combinations_with_replacement, product

import pytest

from catalog.models import Finding, Instrument, Part
from catalog.originality.queries import with_claim
from catalog.originality.rules import NOT_EXAMINED, ORIGINAL, REFINISHED, WORDS, Claim, briefly, claim, spoken
from tests.factories import NOON, InstrumentFactory

STATES = [state.value for state in Finding.State]


@pytest.mark.parametrize(
    ("states", "converted", "expected"),
    [
        ([], False, "not-examined"),
        (["not-examined", "not-examined"], False, "not-examined"),
        (["original", "not-examined"], False, "all-original"),
        (["original", "repaired"], False, "all-original"),
        (["original", "later"], False, "but-for"),
        (["original", "period"], False, "but-for"),
        (["reproduction"], False, "but-for"),
        (["original", "missing"], False, "but-for"),
        (["original", "unknown"], False, "but-for"),
        (["refinished", "original", "later"], False, "refinished"),
        (["original"], True, "converted"),
        (["refinished"], True, "converted"),
        ([], True, "converted"),
    ],
)
def test_the_claim_follows_from_the_parts(states: list[str], converted: bool, expected: str) -> None:
    assert claim(states, converted=converted) == expected


def test_every_claim_has_a_word_and_the_rule_knows_only_states_that_exist() -> None:
    assert list(WORDS) == list(Claim)
    assert ORIGINAL | {REFINISHED, NOT_EXAMINED} <= set(STATES)


@pytest.mark.parametrize(
    ("what", "parts", "expected"),
    [
        (Claim.ALL_ORIGINAL, [("Nut", "original")], "Every examined part original"),
        (Claim.BUT_FOR, [("Nut", "later"), ("Rim", "original")], "Original but for nut"),
        (Claim.BUT_FOR, [("Nut", "later"), ("Case", "missing")], "Original but for nut and case (missing)"),
        (
            Claim.BUT_FOR,
            [(name, "later") for name in ("Nut", "Bridge", "Frets", "Case")],
            "Original but for nut, bridge, frets and case",
        ),
        (
            Claim.BUT_FOR,
            [(name, "later") for name in ("Nut", "Bridge", "Frets", "Case", "Head")],
            "Original but for nut, bridge, frets and 2 more parts",
        ),
        (Claim.REFINISHED, [("Nut", "later"), ("Finish", "refinished")], "Refinished: finish"),
        (Claim.CONVERTED, [("Nut", "later")], "Converted"),
        (Claim.NOT_EXAMINED, [], "Not yet examined"),
    ],
)
def test_the_claim_as_it_heads_a_page(what: Claim, parts: list[tuple[str, str]], expected: str) -> None:
    assert spoken(what, parts) == expected


@pytest.mark.parametrize(
    ("what", "exceptions", "expected"),
    [
        (Claim.BUT_FOR, 1, "Original but for one part"),
        (Claim.BUT_FOR, 3, "Original but for three parts"),
        (Claim.BUT_FOR, 12, "Original but for 12 parts"),
        (Claim.CONVERTED, 3, "Converted"),
    ],
)
def test_the_claim_as_it_stands_under_a_plate(what: Claim, exceptions: int, expected: str) -> None:
    assert briefly(what, exceptions) == expected


@pytest.mark.django_db
def test_a_list_counts_the_parts_that_are_not_original() -> None:
    instrument = InstrumentFactory()
    states = ["original", "repaired", "later", "missing", "not-examined"]
    parts = Part.objects.filter(kind=instrument.kind, parent__isnull=False)
    for part, state in zip(parts, states, strict=False):
        Finding.objects.create(
            instrument=instrument, part=part, state=state, evidence="Seen", examined_at=NOON
        )
    bare = InstrumentFactory()
    counted = with_claim(Instrument.objects.order_by("pk"))
    assert [(row.pk, row.exceptions) for row in counted] == [(instrument.pk, 2), (bare.pk, 0)]


@pytest.mark.django_db
def test_python_and_sql_agree_on_every_pair_of_states_and_every_configuration() -> None:
    first = InstrumentFactory()
    parts = list(Part.objects.filter(kind=first.kind, parent__isnull=False)[:2])
    tenor, five = first.configuration_made, first.configuration_now
    pairs = list(combinations_with_replacement([None, *STATES], 2))
    for (one, other), (made, now) in product(
        pairs, [(None, None), (tenor, None), (None, five), (tenor, tenor), (tenor, five)]
    ):
        instrument = InstrumentFactory(model=first.model, configuration_made=made, configuration_now=now)
        Finding.objects.bulk_create(
            Finding(instrument=instrument, part=part, state=state, evidence="Seen", examined_at=NOON)
            for part, state in zip(parts, (one, other), strict=True)
            if state
        )

    seen = set()
    for instrument in with_claim(Instrument.objects.prefetch_related("findings")):
        states = [finding.state for finding in instrument.findings.all()]
        expected = claim(states, converted=instrument.converted)
        assert instrument.claim == expected, (states, instrument.converted)  # type: ignore[attr-defined]
        seen.add(expected)
    assert seen == set(Claim)
