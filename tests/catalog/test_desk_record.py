"""The sections of a record that are one form: identity, measurements, parts, words, price."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Instrument, Maker, Measurement, Model
from shop.models import Entry, User
from tests.factories import InstrumentFactory, MakerFactory

pytestmark = pytest.mark.django_db

FORMS = [
    "identity",
    "numbers",
    "measurements",
    "parts",
    "conversion",
    "condition",
    "setup",
    "included",
    "story",
    "provenance",
    "price",
]


def address(instrument: Instrument, section: str) -> str:
    return reverse("record-section", args=[instrument.stock_id, section])


def post(client: Client, instrument: Instrument, section: str, **typed: Any) -> Any:
    current = Instrument.objects.get(pk=instrument.pk)
    return client.post(address(instrument, section), {"revision": current.revision, **typed})


def identity(**typed: str) -> dict[str, str]:
    return {"maker": "Corvane", "model": "Lark", "made": "c. 1931", "made_evidence": "Number", **typed}


def stored(instrument: Instrument) -> dict[str, Any]:
    return Instrument.objects.filter(pk=instrument.pk).values().get()


@pytest.mark.parametrize("section", FORMS)
def test_each_section_opens_for_a_helper_and_no_stranger(
    client: Client, helpers_desk: Client, section: str
) -> None:
    instrument = InstrumentFactory()
    assert helpers_desk.get(address(instrument, section)).status_code == 200
    assert client.get(address(instrument, section))["Location"].startswith(reverse("log-in"))
    assert helpers_desk.delete(address(instrument, section)).status_code == 405


@pytest.mark.parametrize("name", ["record", "record-history"])
def test_overview_and_history_are_only_read(client: Client, helpers_desk: Client, name: str) -> None:
    path = reverse(name, args=[InstrumentFactory().stock_id])
    assert helpers_desk.get(path).status_code == 200
    assert helpers_desk.post(path).status_code == 405
    assert client.get(path)["Location"].startswith(reverse("log-in"))


def test_a_number_never_given_has_no_record(helpers_desk: Client) -> None:
    assert helpers_desk.get(reverse("record", args=[4])).status_code == 404


def test_the_overview_leads_to_each_missing_field(helpers_desk: Client) -> None:
    instrument = InstrumentFactory(maker=None, model=None, story="")
    page = helpers_desk.get(reverse("record", args=[instrument.stock_id])).content.decode()
    assert f'href="{address(instrument, "identity")}#id_maker"' in page
    assert 'id="id_maker"' in helpers_desk.get(address(instrument, "identity")).content.decode()
    assert f'href="{address(instrument, "story")}#id_story"' in page
    assert 'id="id_story"' in helpers_desk.get(address(instrument, "story")).content.decode()


def test_identity_keeps_the_date_as_typed_and_as_read(helpers_desk: Client, helper: User) -> None:
    instrument = InstrumentFactory()
    answer = post(
        helpers_desk, instrument, "identity", **identity(made="1925 to 1928", made_shown="1925/1928")
    )
    assert answer.status_code == 302
    now = Instrument.objects.get(pk=instrument.pk)
    # EDTF writes an interval with a slash: Library of Congress, EDTF specification, 2019, level 0.
    assert (now.made, now.made_edtf, now.made_earliest, now.made_latest) == (
        "1925 to 1928",
        "1925/1928",
        1925,
        1928,
    )
    assert "1925 to 1928" in helpers_desk.get(address(instrument, "identity")).content.decode()
    entry = Entry.objects.get(about="instrument", about_id=instrument.pk, field="date of make")
    assert (entry.old, entry.new, entry.by) == ("c. 1931", "1925 to 1928", helper)


def test_a_date_nobody_can_read_changes_nothing_and_stays_typed(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    before = stored(instrument)
    answer = post(
        helpers_desk, instrument, "identity", **identity(made="when grandad was small", maker="New")
    )
    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'value="when grandad was small"' in page
    assert 'value="New"' in page
    assert "cannot be read as a date" in page
    assert stored(instrument) == before
    assert not Maker.objects.filter(name="New").exists()


def test_a_new_name_is_added_and_a_known_one_is_found(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    known = MakerFactory(name="Thistlewood Bros.")
    post(helpers_desk, instrument, "identity", **identity(maker="thistlewood BROS.", model="Wren"))
    post(helpers_desk, instrument, "identity", **identity(maker="Thistlewood Bros.", model="wren"))
    now = Instrument.objects.get(pk=instrument.pk)
    assert now.maker == known
    assert [model.name for model in Model.objects.filter(maker=known)] == ["Wren"]


def test_somebody_elses_change_is_not_written_over(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    post(helpers_desk, instrument, "story", story="The first to write.")
    answer = helpers_desk.post(
        address(instrument, "identity"), {**identity(maker="Late Comer"), "revision": instrument.revision}
    )
    page = answer.content.decode()
    assert "This record was changed after you opened the page." in page
    assert 'value="Late Comer"' in page
    assert not Maker.objects.filter(name="Late Comer").exists()
    # The page that comes back carries the revision as it is now: saving again, having looked, works.
    assert post(helpers_desk, instrument, "identity", **identity(maker="Late Comer")).status_code == 302


def test_the_same_press_twice_is_one_change(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    for _ in range(2):
        answer = helpers_desk.post(
            address(instrument, "story"), {"story": "Once only.", "revision": instrument.revision}
        )
        assert answer.status_code == 302
    assert Entry.objects.filter(about_id=instrument.pk, field="story").count() == 1


def test_words_keep_one_kind_of_line_end(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    post(helpers_desk, instrument, "condition", grade="good", condition="One crack.\r\nGlued.")
    post(helpers_desk, instrument, "setup", setup="Light strings.")
    now = Instrument.objects.get(pk=instrument.pk)
    assert (now.grade, now.condition, now.setup) == ("good", "One crack.\nGlued.", "Light strings.")


def test_measurements_are_kept_exactly_and_shown_in_both_units(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    post(
        helpers_desk,
        instrument,
        "measurements",
        scale_length="26 1/4 in",
        rim_diameter="279.4 mm",
        weight="6 lb 3 oz",
        frets="22",
        head_material="calfskin",
    )
    rows = {
        row.measure.slug: (row.amount, row.unit, row.word)
        for row in Measurement.objects.filter(instrument=instrument)
    }
    # 26 1/4 in is 1,680 sixty-fourths; 6 lb 3 oz is 99 oz, 396 quarters.
    assert rows == {
        "scale-length": (1680, "in64", ""),
        "rim-diameter": (2794, "mm10", ""),
        "weight": (396, "oz4", ""),
        "frets": (22, "count", ""),
        "head-material": (None, "", "calfskin"),
    }
    page = helpers_desk.get(address(instrument, "measurements")).content.decode()
    assert "26¼ in (667 mm)" in page
    assert "6 lb 3 oz (2.81 kg)" in page


def test_what_is_shown_can_be_saved_again_without_a_change(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    typed = {"scale_length": "26 1/4 in", "rim_diameter": "279.4 mm", "weight": "2.81 kg", "frets": "22"}
    post(helpers_desk, instrument, "measurements", **typed)
    form = helpers_desk.get(address(instrument, "measurements")).context["form"]
    shown = {name: form[name].value() or "" for name in form.fields}
    before = list(Measurement.objects.values_list("measure", "amount", "unit"))
    revision = stored(instrument)["revision"]
    post(helpers_desk, instrument, "measurements", **shown)
    assert list(Measurement.objects.values_list("measure", "amount", "unit")) == before
    assert stored(instrument)["revision"] == revision


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("scale_length", "26.26", "has no unit"),
        ("scale_length", "26.3 in", "cannot be kept exactly"),
        ("weight", "heavy", "cannot be read as a measure"),
        ("frets", "twenty", "is no count"),
        ("frets", "-2", "is no count"),
        ("head_material", "whale", "is not in the list"),
    ],
)
def test_a_measure_nobody_can_read_changes_nothing(
    helpers_desk: Client, field: str, typed: str, says: str
) -> None:
    instrument = InstrumentFactory()
    answer = post(helpers_desk, instrument, "measurements", **{"rim_diameter": "11 in", field: typed})
    page = answer.content.decode()
    assert says in page
    assert 'value="11 in"' in page
    assert not Measurement.objects.exists()


def test_the_owner_sets_price_and_floor(owners_desk: Client) -> None:
    instrument = InstrumentFactory(asking_price=None)
    answer = post(owners_desk, instrument, "price", asking_price="$12,500.50", floor_price="11,000")
    assert answer.status_code == 302
    now = Instrument.objects.get(pk=instrument.pk)
    assert (now.asking_price, now.floor_price) == (Decimal("12500.50"), Decimal("11000"))
    assert 'value="11,000"' in owners_desk.get(address(instrument, "price")).content.decode()


def test_a_helper_neither_sees_nor_touches_the_floor(helpers_desk: Client) -> None:
    instrument = InstrumentFactory(floor_price=Decimal("9876.54"))
    page = helpers_desk.get(address(instrument, "price")).content.decode()
    assert "9,876.54" not in page
    assert "floor_price" not in page
    answer = post(helpers_desk, instrument, "price", asking_price="12,000", floor_price="1")
    assert answer.status_code == 302
    now = Instrument.objects.get(pk=instrument.pk)
    assert (now.asking_price, now.floor_price) == (Decimal("12000"), Decimal("9876.54"))


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"asking_price": "a fair sum"}, "cannot be read"),
        ({"asking_price": "0"}, "above nought"),
        ({"asking_price": "-5"}, "below nought"),
        ({"asking_price": "99999999999"}, "ten thousand million"),
        ({"asking_price": "12,500", "price_on_request": "on"}, "not both"),
        ({"asking_price": "100", "floor_price": "200"}, "above the asking price"),
    ],
)
def test_a_price_that_cannot_be_kept_changes_nothing(
    owners_desk: Client, typed: dict[str, str], says: str
) -> None:
    instrument = InstrumentFactory(floor_price=None)
    before = stored(instrument)
    page = post(owners_desk, instrument, "price", **typed).content.decode()
    assert says in page
    assert f'value="{typed["asking_price"]}"' in page
    assert stored(instrument) == before


def test_a_listed_piece_keeps_a_price_or_says_on_request(helpers_desk: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    page = post(helpers_desk, instrument, "price", asking_price="").content.decode()
    assert "This piece is listed" in page
    assert post(helpers_desk, instrument, "price", price_on_request="on").status_code == 302
    now = Instrument.objects.get(pk=instrument.pk)
    assert (now.asking_price, now.price_on_request) == (None, True)


def test_history_shows_who_from_what_to_what_and_hides_the_owners_part(
    owners_desk: Client, helpers_desk: Client
) -> None:
    instrument = InstrumentFactory(floor_price=None)
    post(owners_desk, instrument, "price", asking_price="13,131", floor_price="10,101")
    path = reverse("record-history", args=[instrument.stock_id])
    owners, helpers = owners_desk.get(path).content.decode(), helpers_desk.get(path).content.decode()
    assert "Ada Quill" in owners
    assert "<del>12500.00</del> <ins>13131.00</ins>" in owners
    assert "<del>12500.00</del> <ins>13131.00</ins>" in helpers
    assert "10101.00" in owners
    assert "10101" not in helpers
    assert "loor" not in helpers
