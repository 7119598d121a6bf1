"""The section “Provenance”: people and their consent, papers, gaps and contradictions."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.models import Instrument, Paper, Provenance
from catalog.papers.actions import add_paper
from shop.models import Entry, User
from tests.catalog.test_desk_rows import as_shown
from tests.factories import NOON, InstrumentFactory

pytestmark = pytest.mark.django_db


def address(instrument: Instrument) -> str:
    return reverse("record-section", args=[instrument.stock_id, "provenance"])


def row(number: int = 0, **typed: str) -> dict[str, str]:
    """One row as typed; a spare row has its place in the order already."""
    return {
        f"provenance-{number}-{name}": text
        for name, text in {"when": "1951", "kind": "owned", **typed}.items()
    }


def send(client: Client, instrument: Instrument, *rows: dict[str, str]) -> Any:
    typed = as_shown(client, instrument, "provenance")
    for more in rows:
        typed |= more
    return client.post(address(instrument), typed)


def errors(answer: Any) -> dict[str, list[str]]:
    """The errors of all rows together, by field."""
    assert answer.status_code == 200
    return {field: told for form in answer.context["form"].rows for field, told in form.errors.items()}


def paper(instrument: Instrument, title: str = "Bill of sale", **more: Any) -> Paper:
    values = {"kind": "bill", "title": title, "when": "1951", "copy": "seen", **more}
    return add_paper(instrument, values, by=None, at=NOON)


def test_an_entry_carries_its_person_its_consent_and_its_paper(helpers_desk: Client, helper: User) -> None:
    instrument = InstrumentFactory()
    bill = paper(instrument)
    typed = row(
        public="Wendell Pike’s dance band",
        private="Told by the niece",
        person="Wendell Pike",
        consent_on="2026-05-01",
        consent_how="By letter",
        paper=str(bill.pk),
    )
    assert send(helpers_desk, instrument, typed).status_code == 302
    entry = instrument.provenance.get()
    assert (entry.person, entry.consent_how, entry.paper) == ("Wendell Pike", "By letter", bill)
    assert (entry.when_edtf, entry.when_earliest, entry.position) == ("1951", 1951, 1)
    told = Entry.objects.get(about_id=instrument.pk, field="provenance")
    assert told.by == helper
    for words in ("Wendell Pike", "By letter", "Bill of sale", "Told by the niece"):
        assert words in told.new


def test_an_entry_needs_a_date_that_can_be_read(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    assert list(errors(send(helpers_desk, instrument, row(when="")))) == ["when"]
    assert list(errors(send(helpers_desk, instrument, row(when="1964 to 1951")))) == ["when"]
    assert not Provenance.objects.exists()


HALF = [
    ({"person": "Wendell Pike", "consent_on": "2026-05-01"}, "consent_how", "Say how they agreed"),
    ({"person": "Wendell Pike", "consent_how": "By letter"}, "consent_on", "Say on which day they agreed."),
    ({"consent_on": "2026-05-01", "consent_how": "By letter"}, "person", "Say who agreed to be named."),
    ({"consent_how": "By letter"}, "person", "Say who agreed to be named."),
    (
        {"person": "Wendell Pike", "consent_on": "2026-13-01", "consent_how": "x"},
        "consent_on",
        "Enter a valid",
    ),
]


@pytest.mark.parametrize(("typed", "field", "says"), HALF)
def test_half_a_consent_is_refused_at_what_is_missing(
    typed: dict[str, str], field: str, says: str, helpers_desk: Client
) -> None:
    answer = send(helpers_desk, InstrumentFactory(), row(**typed))
    assert errors(answer)[field][0].startswith(says)
    assert "__all__" not in errors(answer)
    assert not Provenance.objects.exists()


def test_nobody_agrees_on_a_day_to_come(helpers_desk: Client) -> None:
    tomorrow = f"{timezone.localdate() + timedelta(days=1)}"
    typed = row(person="Wendell Pike", consent_on=tomorrow, consent_how="By letter")
    assert errors(send(helpers_desk, InstrumentFactory(), typed)) == {
        "consent_on": ["That day is still to come."]
    }


def test_a_public_text_names_nobody_who_has_not_agreed_in_whichever_row_they_stand(
    helpers_desk: Client,
) -> None:
    instrument = InstrumentFactory()
    answer = send(
        helpers_desk,
        instrument,
        row(0, person="Wendell Pike", public="A dance band"),
        row(1, when="1960", public="Came from old Pike’s estate"),
    )
    assert errors(answer) == {
        "public": [
            "“Pike” names a person who has not agreed to be named. Leave the name out, "
            "or write down when and how they agreed."
        ]
    }
    assert "Came from old Pike’s estate" in answer.text
    assert not Provenance.objects.exists()


def test_a_name_is_taken_away_again_with_the_consent(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    agreed = {"person": "Wendell Pike", "consent_on": "2026-05-01", "consent_how": "By letter"}
    send(helpers_desk, instrument, row(public="Wendell Pike’s band", **agreed))
    gone = {"provenance-0-consent_on": "", "provenance-0-consent_how": ""}
    assert "public" in errors(send(helpers_desk, instrument, gone))
    assert Provenance.objects.get().consent_how == "By letter"
    assert send(helpers_desk, instrument, gone | {"provenance-0-public": "A dance band"}).status_code == 302
    assert Provenance.objects.get().consent_on is None


def test_a_paper_that_may_be_named_holds_back_a_person_who_has_not_agreed(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    paper(instrument, "Letter of Wendell Pike", public=True)
    told = errors(send(helpers_desk, instrument, row(person="Wendell Pike")))
    assert list(told) == ["person"]
    assert "“Letter of Wendell Pike”, which may be named to buyers" in told["person"][0]
    Paper.objects.update(public=False)
    assert send(helpers_desk, instrument, row(person="Wendell Pike")).status_code == 302


def test_the_papers_of_another_record_are_out_of_reach(helpers_desk: Client) -> None:
    instrument, other = InstrumentFactory(), InstrumentFactory()
    theirs = paper(other, "Somebody else’s letter")
    assert "Somebody else’s letter" not in helpers_desk.get(address(instrument)).text
    assert list(errors(send(helpers_desk, instrument, row(paper=str(theirs.pk))))) == ["paper"]


def test_gaps_and_contradictions_stand_below_the_form(helpers_desk: Client) -> None:
    instrument = InstrumentFactory(created_at=datetime(2024, 3, 1, tzinfo=UTC))
    page = helpers_desk.get(address(instrument)).text
    assert "<b>1932 to 2023</b>: nothing is known" in page
    for when, kind in [("1931 to 1951", "owned"), ("1950 to 1964", "dealer")]:
        Provenance.objects.create(instrument=instrument, when=when, kind=kind)
    page = helpers_desk.get(address(instrument)).text
    assert "<b>1965 to 2023</b>: nothing is known" in page
    assert (
        "“Owned, 1931 to 1951” and “With a dealer, 1950 to 1964” share 1950 to 1951. "
        "Both cannot have had it at once." in page
    )
    assert all(f'id="entry-{entry.pk}"' in page for entry in instrument.provenance.all())
    Provenance.objects.filter(kind="dealer").update(
        when_earliest=1951, when_latest=2024, when_edtf="1951/2024"
    )
    page = helpers_desk.get(address(instrument)).text
    assert "Every year from the make until this record was opened is accounted for." in page
    assert "notice-warning" not in page


def test_without_a_date_of_make_no_gap_is_made_up(helpers_desk: Client) -> None:
    instrument = InstrumentFactory(made="", made_edtf="", made_earliest=None, made_latest=None)
    page = helpers_desk.get(address(instrument)).text
    assert "this record has none that gives a first year" in page
    assert "nothing is known" not in page


def test_many_entries_and_papers_need_no_more_queries(
    helpers_desk: Client, django_assert_max_num_queries: Any
) -> None:
    instrument = InstrumentFactory()
    bill = paper(instrument)
    Provenance.objects.create(instrument=instrument, when="1931", kind="owned", paper=bill)
    with django_assert_max_num_queries(40) as few:
        helpers_desk.get(address(instrument))
    for number in range(5):
        more = paper(instrument, f"Letter {number}")
        Provenance.objects.create(instrument=instrument, when="1931", kind="owned", paper=more)
    with django_assert_max_num_queries(len(few)):
        helpers_desk.get(address(instrument))
