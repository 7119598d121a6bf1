"""Originality on the public side: the rule in two texts, Python's and SQL's, and what a page says of each part."""

import random
from collections.abc import Iterator
from typing import Any

import pytest
from django.db.models import Q
from django.test import Client

from catalog.models import Configuration, Finding, Instrument, Kind, Paper, Part, StockNumber
from catalog.originality.queries import leaf_parts, parts_of, with_word
from catalog.originality.rules import Word, exceptions, word
from tests.factories import NOON, InstrumentFactory, PhotographFactory

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


def find(instrument: Instrument, slug: str, state: str, **fields: Any) -> Finding:
    part = Part.objects.get(kind=instrument.kind, slug=slug)
    values = {"seen": "eye", "examined_at": NOON, **fields}
    return Finding.objects.create(instrument=instrument, part=part, state=state, **values)


def page_of(client: Client, instrument: Instrument) -> str:
    """The part of the public page on originality, in one line."""
    page = client.get(instrument.get_absolute_url()).text
    section = page[page.index('id="originality"') :]
    return " ".join(section[: section.index("</section>")].split())


def paper(instrument: Instrument, title: str, *, public: bool) -> Paper:
    return Paper.objects.create(
        instrument=instrument,
        title=title,
        public=public,
        token=f"{Paper.objects.count():032x}",
        received_at=NOON,
    )


def test_a_page_says_how_each_part_is_known_and_where_its_picture_stands(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    PhotographFactory(instrument=instrument, lead=True)
    nut = PhotographFactory(instrument=instrument, position=1)
    find(
        instrument,
        "nut",
        "later",
        seen="loupe",
        evidence="Bone, not ebony",
        note="Well cut",
        when="c. 1970",
        certainty="likely",
        photograph=nut,
        original_kept=True,
        original_where="In the case",
    )
    find(
        instrument,
        "rim",
        "original",
        evidence="Stamp inside.",
        photograph=instrument.photographs.get(lead=True),
    )
    page = page_of(client, instrument)
    for words in (
        "2 of 31</b> parts examined",
        "Later replacement",
        "c. 1970",
        "likely, not certain",
        "Seen with a loupe. Bone, not ebony.",
        "Well cut",
        "The original comes with it, in the case.",
        "The nut is a later replacement; the original comes with it, in the case.",
        'href="#picture-1"',
        "Seen. Stamp inside.",
        'href="#picture-0"',
        "Not examined: tone ring, flange",
    ):
        assert words in page
    whole = client.get(instrument.get_absolute_url()).text
    assert 'id="picture-0"' in whole
    assert 'id="picture-1"' in whole


def test_a_page_never_says_who_worked_or_looked_and_names_only_public_papers(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    named, kept_back = (
        paper(instrument, "Invoice of 1970", public=True),
        paper(instrument, "A letter", public=False),
    )
    find(instrument, "nut", "later", paper=named, work_by="A. Fettler", seen_by="B. Looker")
    find(instrument, "rim", "original", seen="paper", paper=named)
    find(instrument, "head", "later", seen="paper", paper=kept_back, evidence="Plastic")
    page = page_of(client, instrument)
    assert "Seen. By a paper: Invoice of 1970." in page
    assert "From a paper: Invoice of 1970." in page
    assert "From a paper. Plastic." in page
    whole = client.get(instrument.get_absolute_url()).text
    for hidden in ("A letter", "Fettler", "Looker"):
        assert hidden not in whole


@pytest.mark.parametrize(
    ("back", "says"),
    [
        ("yes", "It can be converted back, with nothing to undo in wood."),
        ("hardly", "It can be converted back only with new work."),
        ("no", "It cannot be converted back."),
        ("unknown", "Whether it can be converted back is not known."),
    ],
)
def test_a_conversion_says_from_what_into_what_and_what_is_kept(client: Client, back: str, says: str) -> None:
    instrument = InstrumentFactory(
        listed=True, convertible_back=back, conversion_when="c. 1965", conversion_note="A new neck was made."
    )
    find(instrument, "neck-wood", "later", original_kept=True, original_where="In the case")
    page = page_of(client, instrument)
    for words in (
        "Made as tenor, four strings; stands as five-string. Converted c. 1965.",
        says,
        "A new neck was made.",
        "Original parts that come with it: neck and heel, in the case.",
    ):
        assert words in page
    Instrument.objects.update(configuration_made=instrument.configuration_now)
    again = page_of(client, Instrument.objects.get(pk=instrument.pk))
    assert "A new neck was made." not in again, "what is not converted tells no conversion"
    assert says not in again


def test_a_date_of_work_stands_only_beside_work_and_parts_never_fitted_are_counted_apart(
    client: Client,
) -> None:
    instrument = InstrumentFactory(listed=True, configuration_made=None)
    find(instrument, "rim", "original", when="1888")
    find(instrument, "armrest", "never-fitted")
    find(instrument, "nut", "repaired", when="1999")
    page = page_of(client, instrument)
    assert "1888" not in page
    assert "1999" in page
    assert "2 of 30</b> parts examined; 1 more was never fitted" in page
    assert "Not fully examined: 2 of 30 parts, all of those original; repaired: nut" in page
    assert "Not as it was made" not in page


def test_a_listing_asks_no_more_for_many_findings_than_for_one(
    client: Client, django_assert_max_num_queries: Any
) -> None:
    counts = []
    for slugs in (["nut"], ["nut", "rim", "head", "frets", "case"]):
        instrument = InstrumentFactory(listed=True)
        for slug in slugs:
            find(
                instrument,
                slug,
                "later",
                paper=paper(instrument, "Invoice", public=True),
                photograph=PhotographFactory(instrument=instrument),
            )
        with django_assert_max_num_queries(60) as asked:
            assert client.get(instrument.get_absolute_url()).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]
