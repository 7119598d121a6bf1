"""Where a piece has been and which papers speak for it, as a visitor reads it."""

from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client

from catalog.models import Instrument, Paper, Provenance
from catalog.public.queries import pages
from catalog.public.shown.listing import Listing, listing
from catalog.public.shown.papers import paper_in_words
from catalog.public.shown.past import DISAGREEMENT
from tests.factories import NOON, InstrumentFactory, ShopFactory

pytestmark = pytest.mark.django_db
AGREED: dict[str, Any] = {"consent_on": NOON.date(), "consent_how": "By letter"}


@pytest.fixture
def piece() -> Instrument:
    """A listed piece of about 1931 whose record was opened in 2024."""
    instrument: Instrument = InstrumentFactory(listed=True, created_at=datetime(2024, 3, 1, tzinfo=UTC))
    return instrument


def add(instrument: Instrument, when: str, kind: str, **more: Any) -> Provenance:
    return Provenance.objects.create(
        instrument=instrument, when=when, kind=kind, position=instrument.provenance.count(), **more
    )


def paper(instrument: Instrument, **more: Any) -> Paper:
    values = {"kind": "bill", "title": "Bill of sale", "when": "1931", "copy": "seen", "public": True, **more}
    return Paper.objects.create(
        instrument=instrument, received_at=NOON, token=f"token{instrument.papers.count()}", **values
    )


def shown(instrument: Instrument) -> Listing:
    return listing(pages(Instrument.objects.all(), at=NOON).get(pk=instrument.pk), waiting=0)


def lines(instrument: Instrument) -> list[tuple[str, str, str]]:
    return [(entry.when, entry.what, entry.text) for entry in shown(instrument).provenance]


def test_gaps_stand_between_the_entries_as_honest_lines(piece: Instrument) -> None:
    add(piece, "1931", "sold-new", public="Sold new in Quillby")
    add(piece, "1931 to 1947", "owned", public="A dance band")
    add(piece, "1991", "found", public="Under a stage")
    assert lines(piece) == [
        ("1931", "Sold new", "Sold new in Quillby"),
        ("1931 to 1947", "Owned", "A dance band"),
        ("1948 to 1990", "Nothing is known", ""),
        ("1991", "Found", "Under a stage"),
        ("1992 to 2023", "Nothing is known", ""),
    ]
    assert [entry.gap for entry in shown(piece).provenance] == [False, False, True, False, True]


def test_a_gap_that_the_dealer_tells_himself_is_told_once(piece: Instrument) -> None:
    add(piece, "1931 to 1947", "owned", public="A dance band")
    add(piece, "1950 to 1989", "out-of-sight", public="Said to have been in an attic")
    add(piece, "1990 to 2023", "dealer", public="A dealer")
    assert lines(piece) == [
        ("1931 to 1947", "Owned", "A dance band"),
        ("1948 to 1949", "Nothing is known", ""),
        ("1950 to 1989", "Out of sight", "Said to have been in an attic"),
        ("1990 to 2023", "With a dealer", "A dealer"),
    ]


def test_of_years_that_are_known_at_the_desk_it_is_not_said_that_nothing_is(piece: Instrument) -> None:
    add(piece, "1931 to 1947", "owned", public="A dance band")
    add(piece, "1948 to 2023", "owned", private="The seller’s family", person="Wendell Pike")
    assert lines(piece) == [("1931 to 1947", "Owned", "A dance band")]


def test_what_has_no_public_entry_is_no_part_of_the_page(piece: Instrument, client: Client) -> None:
    ShopFactory()
    add(piece, "1948", "owned", private="The seller’s family", person="Wendell Pike")
    page = client.get(piece.get_absolute_url()).text
    assert "Where it has been" not in page
    assert "Nothing is known" not in page


NAMED: list[tuple[dict[str, Any], tuple[str, str] | None]] = [
    ({"kind": "owned", "person": "Wendell Pike"}, None),
    ({"kind": "owned", "person": "Wendell Pike", "public": "A band"}, ("Owned", "A band")),
    ({"kind": "owned", "person": "Wendell Pike", **AGREED}, ("Owned by Wendell Pike", "")),
    (
        {"kind": "owned", "person": "Wendell Pike", "public": "A band", **AGREED},
        ("Owned by Wendell Pike", "A band"),
    ),
    (
        {"kind": "owned", "person": "Wendell Pike", "public": "Pike’s own band", **AGREED},
        ("Owned", "Pike’s own band"),
    ),
    ({"kind": "dealer", "person": "Wendell Pike", **AGREED}, ("With a dealer, Wendell Pike", "")),
    ({"kind": "out-of-sight"}, ("Out of sight", "")),
    ({"kind": "out-of-sight", "private": "In a lock-up"}, None),
]


@pytest.mark.parametrize(("entry", "expected"), NAMED)
def test_a_person_is_named_only_with_a_consent(
    entry: dict[str, Any], expected: tuple[str, str] | None, piece: Instrument
) -> None:
    add(piece, "1932 to 2023", **entry)
    assert lines(piece) == ([("1932 to 2023", *expected)] if expected else [])


def test_entries_that_disagree_are_shown_as_they_are_with_one_plain_sentence(
    piece: Instrument, client: Client
) -> None:
    ShopFactory()
    add(piece, "1931 to 1960", "owned", public="A dance band")
    add(piece, "1950 to 1970", "owned", public="A school", private="Told by the caretaker")
    page = client.get(piece.get_absolute_url()).text
    assert page.count(str(DISAGREEMENT)) == 1
    assert "A dance band" in page
    assert "A school" in page
    assert "caretaker" not in page


def test_a_private_entry_and_a_wrong_order_raise_no_public_doubt(piece: Instrument) -> None:
    add(piece, "1971", "found", public="Under a stage")
    add(piece, "1931 to 1960", "owned", public="A dance band")
    add(piece, "1950 to 1970", "owned", private="Told by the caretaker")
    assert shown(piece).provenance_note == ""


def test_an_entry_names_its_paper_when_that_may_be_named(piece: Instrument, client: Client) -> None:
    ShopFactory()
    add(piece, "1931", "sold-new", public="Sold in Quillby", paper=paper(piece))
    add(piece, "1950", "owned", public="A band", paper=paper(piece, title="Private letter", public=False))
    assert [entry.paper for entry in shown(piece).provenance if not entry.gap] == [
        "a bill of sale of 1931",
        "",
    ]
    page = client.get(piece.get_absolute_url()).text
    assert "(with a bill of sale of 1931)" in page
    assert "Private letter" not in page


WORDS = [
    ("bill", "1927", "a bill of sale of 1927"),
    ("receipt", "c. 1927", "an earlier receipt of c. 1927"),
    ("picture", "", "an old photograph"),
    ("appraisal", "12 May 1950", "an appraisal of 12 May 1950"),
    ("ledger", "1927 or 1928", "a page of a factory ledger, 1927 or 1928"),
    ("repair", "not before 1960", "a repair invoice, not before 1960"),
    ("other", "1927", "a paper of 1927"),
]


@pytest.mark.parametrize(("kind", "when", "expected"), WORDS)
def test_a_paper_in_the_middle_of_a_sentence(kind: str, when: str, expected: str, piece: Instrument) -> None:
    assert paper_in_words(paper(piece, kind=kind, when=when)) == expected


def test_the_papers_that_may_be_named_stand_in_the_order_of_their_dates(
    piece: Instrument, client: Client
) -> None:
    ShopFactory()
    paper(piece, kind="letter", title="From the first owner", when="1950", copy="copy")
    paper(
        piece, title="Bill of sale", copy="original", comes_along=True, sha256="a" * 64, bytes=9, suffix="pdf"
    )
    paper(piece, kind="repair", title="New frets", when="1962", copy="copy", comes_along=True)
    paper(piece, kind="other", title="A page of a diary", when="1970")
    paper(piece, title="The seller’s own", public=False)
    assert [(row.when, row.what, row.have) for row in shown(piece).papers] == [
        ("1931", "Bill of sale", "The paper itself comes with the instrument."),
        ("1950", "Letter: From the first owner", "We have a copy; it does not come with the instrument."),
        ("1962", "Repair invoice: New frets", "A copy comes with the instrument."),
        ("1970", "A page of a diary", "We have seen it; it is not here."),
    ]
    page = client.get(piece.get_absolute_url()).text
    assert "Letter: From the first owner" in page
    assert "The seller’s own" not in page


def test_more_entries_and_papers_need_no_more_queries(
    piece: Instrument, client: Client, django_assert_max_num_queries: Any
) -> None:
    ShopFactory()
    add(piece, "1931", "sold-new", public="Sold in Quillby", paper=paper(piece))
    with django_assert_max_num_queries(60) as few:
        client.get(piece.get_absolute_url())
    for year in range(1940, 1946):
        add(piece, f"{year}", "owned", public="A band", paper=paper(piece, title=f"Letter of {year}"))
    with django_assert_max_num_queries(len(few)):
        client.get(piece.get_absolute_url())
