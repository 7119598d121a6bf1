"""The section “Date of make”: evidence by rows, what the tables offer, and what follows from it."""

import re
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.dating.actions import load_table
from catalog.dating.queries import agreement_of, conclusion_of, lookups
from catalog.dating.tables import read_table
from catalog.models import DatingEvidence, Feature, FoundNumber, Instrument, Maker, NumberRange, Paper
from shop.models import Entry, User
from tests.factories import NOON, InstrumentFactory, MakerFactory, ModelFactory, PhotographFactory

pytestmark = pytest.mark.django_db

SOURCE = "The Corvane Ledgers"
TABLE = (
    "prefix,first,last,made,page\n,4001,8200,1925 to 1928,12\n,4400,4500,1925 to 1928,\nC,1,9000,1931,13\n"
)


@pytest.fixture
def instrument(db: None) -> Instrument:
    return InstrumentFactory(model=ModelFactory(maker=MakerFactory(name="Corvane & Sons")))


def address(instrument: Instrument) -> str:
    return reverse("record-section", args=[instrument.stock_id, "dating"])


def as_shown(client: Client, instrument: Instrument) -> dict[str, Any]:
    rows = client.get(address(instrument)).context["form"].rows
    fields = [field for form in [rows.management_form, *rows] for field in form]
    shown = {field.html_name: field.value() for field in fields}
    shown = {name: value for name, value in shown.items() if value is not None and value is not False}
    return {**shown, "revision": Instrument.objects.get(pk=instrument.pk).revision}


def row(n: int = 0, **values: Any) -> dict[str, Any]:
    typed = {"kind": "other", "weight": "firm", "says": "Two-way lugs", "when": "1925 to 1928", **values}
    return {f"dating-{n}-{name}": value for name, value in typed.items()}


def save(client: Client, instrument: Instrument, **typed: Any) -> Any:
    return client.post(address(instrument), as_shown(client, instrument) | typed)


def table_for(instrument: Instrument, text: str = TABLE, what: str = "serial", source: str = SOURCE) -> None:
    assert instrument.maker is not None
    load_table(instrument.maker, what, source, read_table(text), by=None, at=NOON)


def number(instrument: Instrument, value: str = "4417", **fields: Any) -> FoundNumber:
    return FoundNumber.objects.create(instrument=instrument, value=value, where="on the rim", **fields)


def offered(instrument: Instrument) -> list[list[str]]:
    return [[str(offer.row.found_in) for offer in lookup.offers] for lookup in lookups(instrument)]


def evidence(instrument: Instrument, **fields: Any) -> DatingEvidence:
    given = {"kind": "other", "says": "Two-way lugs", "when": "1925 to 1928", **fields}
    return DatingEvidence.objects.create(instrument=instrument, **given)


def test_nothing_dates_it_and_a_spare_row_is_no_row(helpers_desk: Client, instrument: Instrument) -> None:
    page = helpers_desk.get(address(instrument)).content.decode()
    assert "Nothing dates it yet." in page
    assert "The stated date, c. 1931, is not established: nothing on the record dates the piece." in page
    assert save(helpers_desk, instrument).status_code == 302
    assert not DatingEvidence.objects.exists()
    assert not Entry.objects.filter(about="instrument").exists()


def test_evidence_is_added_changed_and_removed_with_history(
    helpers_desk: Client, helper: User, instrument: Instrument
) -> None:
    assert save(helpers_desk, instrument, **row()).status_code == 302
    kept = DatingEvidence.objects.get()
    assert (kept.when_earliest, kept.when_latest, kept.weight) == (1925, 1928, "firm")
    save(helpers_desk, instrument, **{"dating-0-when": "1926", "dating-0-note": "Ask again"})
    kept.refresh_from_db()
    assert (kept.when_edtf, kept.note) == ("1926", "Ask again")
    save(helpers_desk, instrument, **{"dating-0-DELETE": "on"})
    told = Entry.objects.filter(field="dating evidence").order_by("pk")
    assert [entry.by for entry in told] == [helper] * 3
    assert "1925 to 1928" in told[0].new
    assert "1926" in told[1].new
    assert told[2].new == ""


def test_the_conclusion_its_reasons_and_the_stated_date(helpers_desk: Client, instrument: Instrument) -> None:
    Instrument.objects.filter(pk=instrument.pk).update(
        made="c. 1926", made_edtf="1926~", made_earliest=1926, made_latest=1926
    )
    evidence(instrument)
    evidence(instrument, kind="hearsay", weight="indicative", says="Told by a neighbour", when="1940")
    page = helpers_desk.get(address(instrument)).content.decode()
    assert "Made between 1925 and 1928: “Two-way lugs” (1925 to 1928, firm)." in page
    assert (
        "Set aside, because firm evidence says otherwise: “Told by a neighbour” (1940, indicative)." in page
    )
    assert "The stated date, c. 1926, is carried by the evidence." in page
    assert f'href="{reverse("record-section", args=[instrument.stock_id, "identity"])}#id_made"' in page


def test_a_contradiction_names_both_and_leads_to_them(helpers_desk: Client, instrument: Instrument) -> None:
    one, other = evidence(instrument), evidence(instrument, says="Label of 1931", when="not before 1931")
    page = helpers_desk.get(address(instrument)).content.decode()
    assert "The evidence contradicts itself, so no date is drawn from it" in page
    for piece in (one, other):
        assert f'href="#evidence-{piece.pk}"' in page
        assert f'id="evidence-{piece.pk}"' in page
    assert "is not established while the evidence contradicts itself" in page
    assert not conclusion_of(instrument).dated


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"when": ""}, "when", "Write the years that this leaves."),
        ({"when": "long ago"}, "when", "long ago"),
        ({"says": ""}, "says", "Say what it is."),
        ({"kind": "not-before", "when": "1924"}, "when", "Write: not before 1924."),
        ({"kind": "not-before", "when": "1924 to 1930"}, "when", "Write: not before 1924."),
        ({"kind": "not-before", "when": "not after 1924"}, "when", "says “not before” alone"),
        ({"kind": "not-after", "when": "1924 to 1930"}, "when", "Write: not after 1930."),
        ({"kind": "not-after", "when": "not before 1924"}, "when", "says “not after” alone"),
        ({"kind": "hearsay"}, "weight", "Hearsay is never firm."),
        ({"kind": "number", "source": ""}, "source", "Name the table, book or list"),
        ({"kind": "feature", "source": ""}, "source", "Name the table, book or list"),
    ],
)
def test_what_does_not_fit_is_refused_and_stays_typed(
    helpers_desk: Client, instrument: Instrument, typed: dict[str, str], field: str, sentence: str
) -> None:
    answer = save(helpers_desk, instrument, **row(note="Kept as typed", **typed))
    assert answer.status_code == 200
    errors = answer.context["form"].rows.forms[0].errors
    assert sentence in errors[field][0]
    assert 'value="Kept as typed"' in answer.content.decode()
    assert not DatingEvidence.objects.exists()


@pytest.mark.parametrize(
    ("kind", "when", "span"),
    [
        ("not-before", "not before 1924", (1924, None)),
        ("not-before", "1924/..", (1924, None)),
        ("not-after", "not after 1930", (None, 1930)),
        ("other", "1924 to 1930", (1924, 1930)),
    ],
)
def test_what_fits_is_kept(
    helpers_desk: Client, instrument: Instrument, kind: str, when: str, span: tuple[int | None, int | None]
) -> None:
    assert save(helpers_desk, instrument, **row(kind=kind, when=when)).status_code == 302
    assert conclusion_of(instrument).span == span


def test_all_lines_that_hold_a_number_are_offered(instrument: Instrument) -> None:
    table_for(instrument)
    table_for(instrument, "first,last,made\n1,9999,1930", what="batch", source="Batches")
    load_table(MakerFactory(), "serial", SOURCE, read_table(TABLE), by=None, at=NOON)
    for value in ("4417", "C 4417", "8200", "8201", "44?7"):
        number(instrument, value)
    number(instrument, "88", what="batch")
    assert offered(instrument) == [
        ["4001 to 8200", "4400 to 4500"],
        ["C1 to C9000"],
        ["4001 to 8200"],
        [],
        [],
        ["1 to 9999"],
    ]


def test_a_retired_line_is_offered_no_more(instrument: Instrument) -> None:
    number(instrument)
    table_for(instrument)
    table_for(instrument, "first,last,made\n4001,5000,1926")
    assert offered(instrument) == [["4001 to 5000"]]


def test_one_press_adds_a_line_as_evidence_and_keeps_what_is_typed(
    helpers_desk: Client, instrument: Instrument
) -> None:
    table_for(instrument)
    found = number(instrument)
    line = NumberRange.objects.get(first=4001)
    page = helpers_desk.get(address(instrument)).content.decode()
    key = f"line-{found.pk}-{line.pk}"
    assert f'form="dating-form" name="add" value="{key}"' in page
    typed = row(says="Label", kind="not-before", when="not before 1924")
    assert save(helpers_desk, instrument, add=key, **typed).status_code == 302
    label, added = DatingEvidence.objects.all()
    assert label.says == "Label"
    assert (added.kind, added.weight, added.when, added.number, added.found_in) == (
        "number", "firm", "1925 to 1928", found, line,
    )  # fmt: skip
    assert (added.says, added.source) == ("Serial number 4417, on the rim", f"{SOURCE}, page 12")
    again = helpers_desk.get(address(instrument)).content.decode()
    assert key not in again
    assert "On the record" in again
    save(helpers_desk, instrument, add=key)
    assert DatingEvidence.objects.count() == 2


def test_the_first_button_of_the_form_saves_and_adds_nothing(
    helpers_desk: Client, instrument: Instrument
) -> None:
    """HTML, “Implicit submission”: Enter in a field presses the first submit button whose owner is the form."""
    table_for(instrument)
    number(instrument)
    page = helpers_desk.get(address(instrument)).content.decode()
    buttons = re.findall(r"<button[^>]*form=.dating-form.[^>]*>", page)
    assert len(buttons) == 3
    assert [" name=" in button for button in buttons] == [False, True, True]
    assert page.index(buttons[0]) < page.index(buttons[1]) < page.index('id="dating-form"')


def test_a_number_that_is_not_clear_only_indicates(helpers_desk: Client, instrument: Instrument) -> None:
    table_for(instrument)
    found = number(instrument, legibility="faint")
    save(helpers_desk, instrument, add=f"line-{found.pk}-{NumberRange.objects.get(first=4001).pk}")
    assert DatingEvidence.objects.get().weight == "indicative"
    assert conclusion_of(instrument).indicated_only


def test_a_press_beside_a_wrong_row_adds_nothing_and_loses_nothing(
    helpers_desk: Client, instrument: Instrument
) -> None:
    table_for(instrument)
    found = number(instrument)
    key = f"line-{found.pk}-{NumberRange.objects.get(first=4001).pk}"
    answer = save(helpers_desk, instrument, add=key, **row(when="long ago"))
    assert 'value="long ago"' in answer.content.decode()
    assert not DatingEvidence.objects.exists()


def test_the_same_press_twice_adds_one_row(helpers_desk: Client, instrument: Instrument) -> None:
    table_for(instrument)
    found = number(instrument)
    sent = as_shown(helpers_desk, instrument)
    sent["add"] = f"line-{found.pk}-{NumberRange.objects.get(first=4001).pk}"
    for _ in range(2):
        helpers_desk.post(address(instrument), sent)
    assert DatingEvidence.objects.count() == 1


def test_a_line_that_is_not_offered_is_refused(helpers_desk: Client, instrument: Instrument) -> None:
    for wanted in ("line-1-1", "feature-77", "nonsense"):
        answer = save(helpers_desk, instrument, add=wanted, **row())
        assert "That line is not offered any more." in answer.content.decode()
    assert not DatingEvidence.objects.exists()


def test_features_of_the_maker_and_the_model_are_offered(
    helpers_desk: Client, instrument: Instrument
) -> None:
    maker, model = instrument.maker, instrument.model
    assert isinstance(maker, Maker)
    known: dict[str, Any] = {"maker": maker, "when": "1924 to 1931", "source": SOURCE, "page": "pp. 40-41"}
    lugs = Feature.objects.create(name="Two-way lugs", **known)
    inlay = Feature.objects.create(name="Star inlay", model=model, **known)
    other = Feature.objects.create(
        name="Moon inlay", model=ModelFactory(maker=maker, name="Skylark"), **known
    )
    page = helpers_desk.get(address(instrument)).content.decode()
    assert f'value="feature-{lugs.pk}"' in page
    assert f'value="feature-{inlay.pk}"' in page
    assert f'value="feature-{other.pk}"' not in page
    save(helpers_desk, instrument, add=f"feature-{lugs.pk}")
    added = DatingEvidence.objects.get()
    assert (added.kind, added.feature, added.says, added.when) == (
        "feature",
        lugs,
        "Two-way lugs",
        "1924 to 1931",
    )
    assert added.source == f"{SOURCE}, pp. 40-41"


def test_a_row_that_rests_on_a_line_takes_its_words_from_it(
    helpers_desk: Client, instrument: Instrument
) -> None:
    table_for(instrument)
    found = number(instrument)
    line = NumberRange.objects.get(first=4001)
    rests = {"kind": "number", "number": found.pk, "found_in": line.pk}
    save(helpers_desk, instrument, **row(says="", when="", source="", **rests))
    kept = DatingEvidence.objects.get()
    assert (kept.says, kept.when, kept.source) == (str(found), "1925 to 1928", f"{SOURCE}, page 12")
    answer = save(helpers_desk, instrument, **{"dating-0-when": "1927"})
    assert "What it rests on says 1925 to 1928." in answer.content.decode()


def test_only_what_is_on_this_record_can_be_chosen(helpers_desk: Client, instrument: Instrument) -> None:
    other = InstrumentFactory()
    paper = Paper.objects.create(instrument=other, title="Bill", token="t", received_at=NOON)
    load_table(other.maker, "serial", SOURCE, read_table(TABLE), by=None, at=NOON)
    strangers: dict[str, int] = {
        "number": number(other).pk,
        "found_in": NumberRange.objects.get(first=4001).pk,
        "feature": Feature.objects.create(maker=other.maker, name="x", when="1925 to 1928", source="x").pk,
        "photograph": PhotographFactory(instrument=other).pk,
        "paper": paper.pk,
    }
    for name, pk in strangers.items():
        answer = save(helpers_desk, instrument, **row(source=SOURCE, **{name: pk}))
        assert name in answer.context["form"].rows.forms[0].errors
    assert not DatingEvidence.objects.exists()


def test_its_own_picture_and_paper_can_be_chosen(helpers_desk: Client, instrument: Instrument) -> None:
    picture = PhotographFactory(instrument=instrument)
    paper = Paper.objects.create(instrument=instrument, title="Bill", token="t", received_at=NOON)
    save(helpers_desk, instrument, **row(photograph=picture.pk, paper=paper.pk))
    kept = DatingEvidence.objects.get()
    assert (kept.photograph, kept.paper) == (picture, paper)


def test_a_piece_without_a_maker_is_sent_to_name_one(helpers_desk: Client) -> None:
    instrument = InstrumentFactory(maker=None, model=None)
    number(instrument)
    page = helpers_desk.get(address(instrument)).content.decode()
    assert "Name the maker" in page
    assert lookups(instrument)[0].offers == []


def test_evidence_on_a_retired_line_can_still_be_saved(helpers_desk: Client, instrument: Instrument) -> None:
    table_for(instrument)
    found = number(instrument)
    save(helpers_desk, instrument, add=f"line-{found.pk}-{NumberRange.objects.get(first=4001).pk}")
    table_for(instrument)
    assert save(helpers_desk, instrument, **{"dating-0-note": "Seen"}).status_code == 302
    assert DatingEvidence.objects.get().note == "Seen"


def test_the_page_costs_the_same_for_one_row_and_for_many(
    helpers_desk: Client, instrument: Instrument
) -> None:
    def cost() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert helpers_desk.get(address(instrument)).status_code == 200
        return len(seen)

    def one_more(n: int) -> None:
        table_for(instrument, source=f"Book {n}")
        line = NumberRange.objects.get(first=4001, table__source=f"Book {n}")
        evidence(instrument, number=number(instrument, f"441{n}"), found_in=line)
        Feature.objects.create(maker=instrument.maker, name=f"Lug {n}", when="1925", source=SOURCE)

    one_more(0)
    before = cost()
    for n in range(1, 7):
        one_more(n)
    assert cost() == before


@pytest.mark.parametrize("edtf", ["1926~", "1926?", "1926%"])
def test_circa_and_probably_both_count_as_near(instrument: Instrument, edtf: str) -> None:
    evidence(instrument)
    fields = {"made_earliest": 1926, "made_latest": 1926}
    for written, agrees in ((edtf, "supported"), ("1926", "not-established")):
        Instrument.objects.filter(pk=instrument.pk).update(made_edtf=written, **fields)
        assert agreement_of(Instrument.objects.get(pk=instrument.pk)) == agrees


def test_the_conclusion_costs_nothing_when_the_evidence_is_prefetched(instrument: Instrument) -> None:
    evidence(instrument)
    (found,) = Instrument.objects.prefetch_related("dating")
    with CaptureQueriesContext(connection) as seen:
        assert conclusion_of(found).span == (1925, 1928)
    assert len(seen) == 0
