"""The section “What is unusual”: what was seen is compared, and a difference is judged with its evidence."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import Instrument, Measurement, Paper, SeenFeature, Unusual, UsualFeature
from shop.models import Entry, User
from tests.factories import NOON, InstrumentFactory, ModelFactory, PhotographFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def piece() -> Instrument:
    """A piece of 1931 on whose model the tailpiece is plain and the scale 26 1/4 inches."""
    instrument = InstrumentFactory()
    scale = instrument.kind.measures.get(slug="scale-length")
    for what, value, measure in [("Scale length", "26 1/4 in", scale), ("Tailpiece", "Plain", None)]:
        UsualFeature.objects.create(
            model=instrument.model, what=what, value=value, measure=measure, source="Price list", page="4"
        )
    return instrument


def address(instrument: Instrument) -> str:
    return reverse("record-section", args=[instrument.stock_id, "unusual"])


def row(client: Client, instrument: Instrument, what: str) -> Any:
    form = client.get(address(instrument)).context["form"]
    return next(row for row in form.rows if row.thing.what == what)


def as_shown(client: Client, instrument: Instrument) -> dict[str, Any]:
    """Everything that the page would send back: judgements stand only in rows that differ."""
    form = client.get(address(instrument)).context["form"]
    shown = {"revision": Instrument.objects.get(pk=instrument.pk).revision}
    for one in form.rows:
        names = [name for name in ("seen", "about") if name in one.fields]
        names += ["verdict", "evidence", "photograph", "paper"] if one.differs else []
        shown |= {one[name].html_name: one[name].value() or "" for name in names}
    return shown


def send(client: Client, instrument: Instrument, what: str, **typed: Any) -> Any:
    """Press Save after typing into the row of `what`."""
    prefix = row(client, instrument, what).prefix
    given = {f"{prefix}-{name}": value for name, value in typed.items()}
    return client.post(address(instrument), as_shown(client, instrument) | given)


def measured(instrument: Instrument, steps: int) -> None:
    measure = instrument.kind.measures.get(slug="scale-length")
    Measurement.objects.update_or_create(
        instrument=instrument, measure=measure, defaults={"amount": steps, "unit": "in64"}
    )


def test_without_a_model_or_its_list_the_page_says_where_to_write_it(helpers_desk: Client) -> None:
    bare = InstrumentFactory(model=None, maker=None)
    page = helpers_desk.get(address(bare)).content.decode()
    assert "this record names none yet" in page
    assert f'href="{reverse("record-section", args=[bare.stock_id, "identity"])}">Name' in page
    listless = InstrumentFactory()
    page = helpers_desk.get(address(listless)).content.decode()
    assert "There is no list yet of what is usual" in page
    assert f'href="{reverse("model-sheet", args=[listless.model_id])}"' in page


def test_each_thing_stands_with_what_is_usual_and_its_source(helpers_desk: Client, piece: Instrument) -> None:
    page = helpers_desk.get(address(piece)).content.decode()
    assert 'Plain <span class="soft">Price list, p. 4</span>' in page
    assert '<option value="Plain"></option>' in page
    assert "Not measured yet" in page
    assert page.count("Not seen yet.") == 2
    assert "What we make of it" not in page


def test_only_what_was_usual_in_its_years_is_asked_about(helpers_desk: Client, piece: Instrument) -> None:
    UsualFeature.objects.create(
        model=piece.model, what="Armrest", value="None", when="not after 1925", source="L"
    )
    asked = [one.thing.what for one in helpers_desk.get(address(piece)).context["form"].rows]
    assert asked == ["Scale length", "Tailpiece"]


def test_what_is_as_usual_needs_no_judgement(helpers_desk: Client, piece: Instrument, helper: User) -> None:
    measured(piece, 26 * 64 + 18)  # 26 9/32 in
    assert send(helpers_desk, piece, "Tailpiece", seen="  plain ")["Location"] == address(piece)
    assert [(one.what, one.value) for one in piece.seen_features.all()] == [("Tailpiece", "plain")]
    page = helpers_desk.get(address(piece)).content.decode()
    assert page.count("As usual.") == 2
    [told] = Entry.objects.filter(about="instrument", about_id=piece.pk)
    assert (told.field, told.old, told.new, told.by) == ("what was seen", "", "Tailpiece · plain", helper)


def test_a_difference_is_offered_and_judged_with_its_evidence(
    helpers_desk: Client, piece: Instrument, helper: User
) -> None:
    back = PhotographFactory(instrument=piece, caption="The tailpiece")
    paper = Paper.objects.create(instrument=piece, title="Order", token="t", received_at=NOON)
    send(helpers_desk, piece, "Tailpiece", seen="Pierced")
    assert not Unusual.objects.exists()
    page = helpers_desk.get(address(piece)).content.decode()
    assert "<b>This differs.</b>" in page
    assert "The tailpiece</option>" in page
    send(
        helpers_desk,
        piece,
        "Tailpiece",
        verdict="factory",
        evidence="So in the order",
        photograph=str(back.pk),
        paper=str(paper.pk),
    )
    kept = Unusual.objects.get()
    assert (kept.what, kept.seen, kept.verdict, kept.evidence, kept.photograph, kept.paper, kept.by) == (
        "Tailpiece",
        "Pierced",
        "factory",
        "So in the order",
        back,
        paper,
        helper,
    )
    shown = row(helpers_desk, piece, "Tailpiece")
    assert [field.value() for field in shown.judging()] == [
        "factory",
        "So in the order",
        back.pk,
        paper.pk,
    ]
    fields = Entry.objects.filter(about="instrument", about_id=piece.pk).values_list("field", flat=True)
    assert sorted(fields) == ["what is unusual", "what was seen"]


def test_seen_and_judged_are_kept_by_one_save(helpers_desk: Client, piece: Instrument) -> None:
    """As the page sends it after it has compared what was typed."""
    send(
        helpers_desk,
        piece,
        "Tailpiece",
        seen="Pierced",
        about="Pierced",
        verdict="later",
        evidence="New holes",
        photograph="",
        paper="",
    )
    assert Unusual.objects.get().seen == SeenFeature.objects.get().value == "Pierced"


def test_a_measurement_is_the_records_own(helpers_desk: Client, piece: Instrument) -> None:
    measured(piece, 25 * 64)
    send(helpers_desk, piece, "Scale length", seen="26 1/4 in", verdict="unknown")
    assert not SeenFeature.objects.exists()
    assert Unusual.objects.get().seen == "25 in (635 mm)"
    page = helpers_desk.get(address(piece)).content.decode()
    assert f'href="{reverse("record-section", args=[piece.stock_id, "measurements"])}">Measurements' in page


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"verdict": "factory"}, "Say how you know it of the difference “Tailpiece”."),
        ({"verdict": "later", "evidence": "  "}, "Say how you know it of the difference “Tailpiece”."),
        ({"evidence": "Seen inside"}, "Say what you make of the difference “Tailpiece”."),
        ({"verdict": "magic"}, "Select a valid choice."),
        ({"verdict": "unknown", "photograph": "999999"}, "Select a valid choice."),
    ],
)
def test_half_a_judgement_changes_nothing_and_stays_typed(
    helpers_desk: Client, piece: Instrument, typed: dict[str, str], says: str
) -> None:
    SeenFeature.objects.create(instrument=piece, what="Tailpiece", value="Pierced")
    answer = send(helpers_desk, piece, "Tailpiece", **typed)
    assert answer.status_code == 200
    page = answer.content.decode()
    assert says in page
    assert not Unusual.objects.exists()
    if typed.get("evidence", "").strip():
        assert f'value="{typed["evidence"]}"' in page


def test_a_verdict_is_not_carried_over_to_another_value(helpers_desk: Client, piece: Instrument) -> None:
    SeenFeature.objects.create(instrument=piece, what="Tailpiece", value="Pierced")
    send(helpers_desk, piece, "Tailpiece", verdict="factory", evidence="So in the order")
    answer = send(helpers_desk, piece, "Tailpiece", seen="Cast")
    assert "This was said of “Pierced”. Now “Cast” stands there" in answer.content.decode()
    assert SeenFeature.objects.get().value == "Pierced"
    cleared = {"verdict": "", "evidence": "", "photograph": "", "paper": ""}
    assert send(helpers_desk, piece, "Tailpiece", seen="Cast", **cleared).status_code == 302
    page = helpers_desk.get(address(piece)).content.decode()
    assert "Earlier, of “Pierced”: factory work (So in the order)." in page
    assert Unusual.objects.get().seen == "Pierced"
    send(helpers_desk, piece, "Tailpiece", verdict="later", evidence="Filed by hand")
    kept = Unusual.objects.get()
    assert (kept.seen, kept.verdict) == ("Cast", "later")


def test_looked_at_again_the_same_verdict_is_taken(helpers_desk: Client, piece: Instrument) -> None:
    SeenFeature.objects.create(instrument=piece, what="Tailpiece", value="Pierced")
    send(helpers_desk, piece, "Tailpiece", verdict="factory", evidence="So in the order")
    typed = as_shown(helpers_desk, piece)
    prefix = row(helpers_desk, piece, "Tailpiece").prefix
    page = helpers_desk.post(address(piece), typed | {f"{prefix}-seen": "Pierced with stars"})
    again = next(one for one in page.context["form"].rows if one.prefix == prefix)
    typed |= {one.html_name: one.value() for one in [again["seen"], again["about"]]}
    assert helpers_desk.post(address(piece), typed).status_code == 302
    kept = Unusual.objects.get()
    assert (kept.seen, kept.verdict, kept.evidence) == ("Pierced with stars", "factory", "So in the order")


def test_a_verdict_taken_back_is_gone_and_what_was_seen_stays(
    helpers_desk: Client, piece: Instrument
) -> None:
    SeenFeature.objects.create(instrument=piece, what="Tailpiece", value="Pierced")
    send(helpers_desk, piece, "Tailpiece", verdict="unknown")
    send(helpers_desk, piece, "Tailpiece", verdict="", evidence="")
    assert not Unusual.objects.exists()
    send(helpers_desk, piece, "Tailpiece", seen="")
    assert not SeenFeature.objects.exists()


def test_saving_what_is_shown_changes_nothing(helpers_desk: Client, piece: Instrument) -> None:
    measured(piece, 25 * 64)
    SeenFeature.objects.create(instrument=piece, what="Tailpiece", value="Pierced")
    send(helpers_desk, piece, "Tailpiece", verdict="factory", evidence="So in the order")
    before = Unusual.objects.values().get(), SeenFeature.objects.values().get()
    entries = Entry.objects.count()
    assert send(helpers_desk, piece, "Tailpiece").status_code == 302
    assert (Unusual.objects.values().get(), SeenFeature.objects.values().get()) == before
    assert Entry.objects.count() == entries


def test_a_row_that_was_not_sent_stays_as_it_is(helpers_desk: Client, piece: Instrument) -> None:
    SeenFeature.objects.create(instrument=piece, what="Tailpiece", value="Pierced")
    assert helpers_desk.post(address(piece), {"revision": piece.revision}).status_code == 302
    assert SeenFeature.objects.get().value == "Pierced"


def test_a_page_that_was_overtaken_is_refused(helpers_desk: Client, piece: Instrument) -> None:
    typed = as_shown(helpers_desk, piece)
    prefix = row(helpers_desk, piece, "Tailpiece").prefix
    Instrument.objects.filter(pk=piece.pk).update(revision=7)
    page = helpers_desk.post(address(piece), typed | {f"{prefix}-seen": "Pierced"}).content.decode()
    assert "This record was changed after you opened the page." in page
    assert 'value="Pierced"' in page
    assert not SeenFeature.objects.exists()


def test_a_photograph_of_another_record_is_out_of_reach(helpers_desk: Client, piece: Instrument) -> None:
    SeenFeature.objects.create(instrument=piece, what="Tailpiece", value="Pierced")
    other = PhotographFactory()
    answer = send(helpers_desk, piece, "Tailpiece", verdict="unknown", photograph=str(other.pk))
    assert answer.status_code == 200
    assert not Unusual.objects.exists()


def compared(client: Client, instrument: Instrument, **typed: str) -> str:
    prefix = row(client, instrument, "Tailpiece").prefix
    sent = {f"{prefix}-{name}": value for name, value in typed.items()}
    path = reverse("unusual-compared", args=[instrument.stock_id])
    return client.get(path, {"of": prefix, **sent}).content.decode()


def test_a_row_is_compared_while_it_is_typed(helpers_desk: Client, piece: Instrument) -> None:
    assert "As usual." in compared(helpers_desk, piece, seen="PLAIN", about="")
    assert "Not seen yet." in compared(helpers_desk, piece, seen="", about="x")
    fragment = compared(helpers_desk, piece, seen="Pierced", about="")
    assert "<b>This differs.</b>" in fragment
    assert 'value="Pierced"' in fragment  # what the judgement below is about
    assert "errorlist" not in fragment
    assert "<html" not in fragment
    assert not SeenFeature.objects.exists()


def test_what_was_typed_stays_while_the_value_is_mended(helpers_desk: Client, piece: Instrument) -> None:
    fragment = compared(
        helpers_desk, piece, seen="Pierced with stars", about="Pierced", verdict="later", evidence="New holes"
    )
    assert 'value="New holes"' in fragment
    assert (
        "selected" not in fragment.partition("<select")[2].partition("Later work")[0].rpartition("<option")[2]
    )


def test_of_an_earlier_value_nothing_is_carried_on(helpers_desk: Client, piece: Instrument) -> None:
    SeenFeature.objects.create(instrument=piece, what="Tailpiece", value="Pierced")
    send(helpers_desk, piece, "Tailpiece", verdict="factory", evidence="So in the order")
    fragment = compared(
        helpers_desk, piece, seen="Cast", about="Pierced", verdict="factory", evidence="So in the order"
    )
    assert "Earlier, of “Pierced”: factory work (So in the order)." in fragment
    assert 'value="So in the order"' not in fragment
    assert 'value="factory" selected' not in fragment


def test_an_unknown_row_has_nothing_to_say(client: Client, helpers_desk: Client, piece: Instrument) -> None:
    path = reverse("unusual-compared", args=[piece.stock_id])
    assert helpers_desk.get(path, {"of": "thing-0"}).content == b""
    assert helpers_desk.post(path).status_code == 405
    assert client.get(path)["Location"].startswith(reverse("log-in"))


def test_the_section_asks_a_fixed_number_of_questions(helpers_desk: Client, piece: Instrument) -> None:
    PhotographFactory(instrument=piece, view=piece.kind.views.first())
    SeenFeature.objects.create(instrument=piece, what="Tailpiece", value="Pierced")
    with CaptureQueriesContext(connection) as few:
        helpers_desk.get(address(piece))
    for n in range(5):
        UsualFeature.objects.create(model=piece.model, what=f"Thing {n}", value="Plain", source="List")
        SeenFeature.objects.create(instrument=piece, what=f"Thing {n}", value="Fancy")
        Unusual.objects.create(instrument=piece, what=f"Thing {n}", seen="Fancy", verdict="unknown", at=NOON)
        PhotographFactory(instrument=piece, view=piece.kind.views.last())
    with CaptureQueriesContext(connection) as many:
        helpers_desk.get(address(piece))
    assert len(many) == len(few)


def test_a_model_of_the_same_name_has_its_own_list(helpers_desk: Client, piece: Instrument) -> None:
    other = InstrumentFactory(model=ModelFactory(name=piece.model.name))
    assert "There is no list yet" in helpers_desk.get(address(other)).content.decode()
