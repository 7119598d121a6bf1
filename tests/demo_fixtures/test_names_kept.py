"""What buyers read of the invented pieces names nobody who has not agreed, as the desk itself would ask."""

import pytest

from catalog.models import Instrument
from catalog.provenance.queries import not_to_be_named
from catalog.provenance.rules import names_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


def test_public_entries_and_titles_of_papers_name_nobody_without_a_consent() -> None:
    named = []
    for instrument in Instrument.objects.prefetch_related("provenance", "papers"):
        told = [row.public for row in instrument.provenance.all()]
        titles = [(paper.title, paper.from_whom) for paper in instrument.papers.all() if paper.public]
        people = not_to_be_named(instrument.provenance.all())
        pairs = titles + [(text, one) for text in [*told, *(title for title, _ in titles)] for one in people]
        named += [(instrument.stock_id, text) for text, person in pairs if names_in(text, person)]
    assert named == []


def test_some_have_agreed_and_some_have_not() -> None:
    rows = [row for instrument in Instrument.objects.all() for row in instrument.provenance.all()]
    assert {bool(row.consent_on) for row in rows if row.person} == {True, False}
