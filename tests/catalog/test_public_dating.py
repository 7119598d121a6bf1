"""How the date is known, as buyers read it."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from catalog.models import DatingEvidence, Instrument, Paper
from tests.factories import NOON, InstrumentFactory, PhotographFactory, ShopFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def instrument(db: None) -> Instrument:
    ShopFactory()
    return InstrumentFactory(
        listed=True, made="c. 1926", made_edtf="1926~", made_earliest=1926, made_latest=1926, made_evidence=""
    )


def evidence(instrument: Instrument, **fields: Any) -> DatingEvidence:
    given = {"kind": "other", "says": "Two-way lugs", "when": "1925 to 1928", **fields}
    return DatingEvidence.objects.create(instrument=instrument, **given)


def page_of(client: Client, instrument: Instrument) -> str:
    return " ".join(client.get(instrument.get_absolute_url()).text.split())


def test_without_evidence_the_typed_words_stand_alone(client: Client, instrument: Instrument) -> None:
    assert "How the date is known" not in page_of(client, instrument)
    Instrument.objects.filter(pk=instrument.pk).update(made_evidence="By its maker’s label.\n\nWe saw it.")
    page = page_of(client, instrument)
    assert page.count("By its maker’s label.") == 1
    assert '<a href="#dating">In our own words</a>' in page
    assert 'id="dating"' in page
    assert "Nothing dates it yet" not in page
    assert "not established" not in page


def test_the_evidence_is_told_piece_by_piece(client: Client, instrument: Instrument) -> None:
    Instrument.objects.filter(pk=instrument.pk).update(made_evidence="By its number.")
    evidence(instrument, kind="number", says="Rim number 9173", source="The ledgers, page 12", note="SECRET")
    evidence(instrument, kind="hearsay", weight="indicative", says="Told by the family", when="1940")
    page = page_of(client, instrument)
    for told in (
        '<a href="#dating">By 2 pieces of evidence</a>',
        "Made between 1925 and 1928: “Rim number 9173” (1925 to 1928, firm).",
        "Set aside, because firm evidence says otherwise: “Told by the family” (1940, indicative).",
        "The stated date, c. 1926, is carried by the evidence.",
        "Number in a range. Firm. The ledgers, page 12.",
        "Hearsay. Indicative.",
    ):
        assert told in page, told
    assert page.index("By its number.") < page.index("Made between 1925 and 1928")
    assert "SECRET" not in page


def test_a_contradiction_is_shown_and_nothing_is_invented(client: Client, instrument: Instrument) -> None:
    evidence(instrument)
    evidence(instrument, kind="not-before", says="Label of 1931", when="not before 1931")
    evidence(instrument, kind="not-before", says="Patent of 1920", when="not before 1920")
    page = page_of(client, instrument)
    assert '<a href="#dating">The evidence contradicts itself</a>' in page
    assert (
        "“Two-way lugs” (1925 to 1928, firm) cannot stand beside “Label of 1931” (1931 or later, firm)."
        in page
    )
    assert "dating-contradicts" in page
    assert page.count("dating-against") == 2
    assert "Made between" not in page


def test_evidence_leads_to_its_picture_wherever_that_stands(client: Client, instrument: Instrument) -> None:
    back = PhotographFactory(instrument=instrument, position=1)
    lead = PhotographFactory(instrument=instrument, lead=True, position=5)
    waiting = PhotographFactory(instrument=instrument, state="waiting", position=0)
    for picture in (lead, back, waiting):
        evidence(instrument, photograph=picture)
    answer = client.get(instrument.get_absolute_url())
    assert [piece.picture for piece in answer.context["listing"].dating.pieces] == [
        "#picture-0",
        "#picture-1",
        "",
    ]
    for anchor in ("picture-0", "picture-1"):
        assert f'id="{anchor}"' in answer.text
        assert f'<a href="#{anchor}">See the picture</a>' in answer.text


def test_a_paper_is_named_only_when_it_may_be(client: Client, instrument: Instrument) -> None:
    for title, public in (("Bill of sale", True), ("Letter of the niece", False)):
        paper = Paper.objects.create(
            instrument=instrument, title=title, public=public, token=title[:4], received_at=NOON
        )
        evidence(instrument, kind="not-after", when="not after 1927", paper=paper)
    page = page_of(client, instrument)
    assert "Paper: Bill of sale." in page
    assert "niece" not in page


def test_one_piece_or_many_cost_the_same(client: Client, instrument: Instrument) -> None:
    def cost() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert client.get(instrument.get_absolute_url()).status_code == 200
        return len(seen)

    def one_more(n: int) -> None:
        paper = Paper.objects.create(
            instrument=instrument, title=f"Bill {n}", token=str(n), public=True, received_at=NOON
        )
        evidence(instrument, paper=paper, photograph=PhotographFactory(instrument=instrument))

    one_more(0)
    before = cost()
    for n in range(1, 8):
        one_more(n)
    assert cost() == before
