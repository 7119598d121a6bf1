"""Kinds and their sheets: the owner's pages."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.models import Finding, Instrument, Kind, Measurement
from catalog.originality.queries import with_word
from shop.models import Entry
from tests.factories import InstrumentFactory, PhotographFactory

pytestmark = pytest.mark.django_db

SHEETS = ["parts", "measures", "views", "configurations"]


def address(what: str, kind: str = "banjo") -> str:
    return reverse("kind-sheet", args=[kind, what])


def as_shown(client: Client, what: str, kind: str = "banjo") -> dict[str, Any]:
    rows = client.get(address(what, kind)).context["rows"]
    fields = [field for form in [rows.management_form, *rows] for field in form]
    shown = {field.html_name: field.value() for field in fields}
    return {name: value for name, value in shown.items() if value is not None and value is not False}


def row_of(shown: dict[str, Any], name: str) -> str:
    """The prefix of the row whose name is `name`, such as parts-3."""
    return next(key.removesuffix("-name") for key, value in shown.items() if value == name)


def spare(shown: dict[str, Any], what: str) -> str:
    return f"{what}-{shown[f'{what}-INITIAL_FORMS']}"


def test_these_pages_are_the_owners(client: Client, helpers_desk: Client, owners_desk: Client) -> None:
    for path in [reverse("kinds"), reverse("kind", args=["banjo"]), *map(address, SHEETS)]:
        assert client.get(path)["Location"].startswith(reverse("log-in"))
        assert helpers_desk.get(path).status_code == 403
        assert owners_desk.get(path).status_code == 200
        assert owners_desk.put(path).status_code == 405


def test_what_is_no_kind_and_no_sheet_is_not_found(owners_desk: Client) -> None:
    assert owners_desk.get(reverse("kind", args=["zither"])).status_code == 404
    assert owners_desk.get(address("smells")).status_code == 404


def test_a_kind_is_added_once(owners_desk: Client) -> None:
    typed = {"name": "Tenor guitar", "plural": "Tenor guitars"}
    first = owners_desk.post(reverse("kinds"), typed)
    assert first["Location"] == reverse("kind", args=["tenor-guitar"])
    again = owners_desk.post(reverse("kinds"), typed)
    assert "There is a kind called “Tenor guitar” already" in again.content.decode()
    assert 'value="Tenor guitars"' in again.content.decode()
    assert Kind.objects.filter(slug="tenor-guitar").count() == 1
    last = Kind.objects.order_by("position").last()
    assert last is not None
    assert last.slug == "tenor-guitar"


def test_a_kind_without_a_name_is_not_added(owners_desk: Client) -> None:
    before = Kind.objects.count()
    assert owners_desk.post(reverse("kinds"), {"name": "", "plural": "X"}).status_code == 200
    assert Kind.objects.count() == before


@pytest.mark.parametrize("what", SHEETS)
def test_saving_what_is_shown_changes_nothing(owners_desk: Client, what: str) -> None:
    rows = getattr(Kind.objects.get(slug="banjo"), what)
    before = list(rows.values())
    answer = owners_desk.post(address(what), as_shown(owners_desk, what))
    assert answer.status_code == 302
    assert list(rows.values()) == before
    assert not Entry.objects.filter(about="kind").exists()


def test_new_rows_get_a_short_name_of_their_own(owners_desk: Client) -> None:
    kind = Kind.objects.get(slug="banjo")
    shown = as_shown(owners_desk, "parts")
    first = int(shown["parts-INITIAL_FORMS"])
    pot = kind.parts.get(slug="pot")
    shown |= {
        f"parts-{first}-name": "Rim",
        f"parts-{first}-parent": str(pot.pk),
        f"parts-{first + 1}-name": "Rim",
    }
    assert owners_desk.post(address("parts"), shown).status_code == 302
    new = kind.parts.filter(slug__in=["rim-2", "rim-3"]).order_by("slug")
    assert [(part.slug, part.parent) for part in new] == [("rim-2", pot), ("rim-3", None)]
    assert Entry.objects.get(about="kind", about_id=kind.pk).field == "parts"


def test_a_new_name_keeps_the_short_name(owners_desk: Client) -> None:
    shown = as_shown(owners_desk, "views")
    shown[f"{row_of(shown, 'Whole front')}-name"] = "The whole front"
    owners_desk.post(address("views"), shown)
    assert Kind.objects.get(slug="banjo").views.get(slug="front").name == "The whole front"


def test_a_part_counts_as_what_the_owner_says_and_the_word_follows(owners_desk: Client) -> None:
    shown = as_shown(owners_desk, "parts")
    page = owners_desk.get(address("parts")).text
    assert page.count("The word on the whole instrument follows from its body, its neck and its finish.") == 1
    assert "Any other part" in page
    instrument = InstrumentFactory(configuration_made=None)
    nut = instrument.kind.parts.get(slug="nut")
    Finding.objects.create(
        instrument=instrument, part=nut, state="later", seen="eye", examined_at=timezone.now()
    )
    assert with_word(Instrument.objects.all()).values_list("word", flat=True).get() == "not-fully-examined"
    changed = shown | {f"{row_of(shown, 'Nut')}-role": "neck"}
    assert owners_desk.post(address("parts"), changed).status_code == 302
    assert with_word(Instrument.objects.all()).values_list("word", flat=True).get() == "replaced-neck"
    assert "(counts as neck)" in owners_desk.get(reverse("kind", args=["banjo"])).text


def test_an_unused_row_goes(owners_desk: Client) -> None:
    shown = as_shown(owners_desk, "parts")
    shown[f"{row_of(shown, 'Armrest')}-DELETE"] = "on"
    assert owners_desk.post(address("parts"), shown).status_code == 302
    assert not Kind.objects.get(slug="banjo").parts.filter(slug="armrest").exists()


@pytest.mark.parametrize(
    ("what", "name"),
    [
        ("parts", "Rim"),
        ("measures", "Scale length"),
        ("views", "Whole front"),
        ("configurations", "Five-string"),
    ],
)
def test_a_row_in_use_stays_and_the_record_is_named(owners_desk: Client, what: str, name: str) -> None:
    instrument = InstrumentFactory()
    kind = instrument.kind
    Finding.objects.create(
        instrument=instrument,
        part=kind.parts.get(slug="rim"),
        state="original",
        evidence="Stamp",
        examined_at=timezone.now(),
    )
    measure = kind.measures.get(slug="scale-length")
    Measurement.objects.create(instrument=instrument, measure=measure, amount=1680, unit="in64")
    PhotographFactory(instrument=instrument, view=kind.views.get(slug="front"))
    shown = as_shown(owners_desk, what)
    shown[f"{row_of(shown, name)}-DELETE"] = "on"
    new = spare(shown, what)
    shown[f"{new}-name"] = "Something new"
    if what == "measures":
        shown[f"{new}-quantity"] = "count"
    page = owners_desk.post(address(what), shown).content.decode()
    assert f"It is used by stock number {instrument.stock_id}." in page
    assert 'value="Something new"' in page
    names = list(getattr(kind, what).values_list("name", flat=True))
    assert name in names
    assert "Something new" not in names


def test_a_heading_with_parts_under_it_stays(owners_desk: Client) -> None:
    kind = Kind.objects.get(slug="banjo")
    count = kind.parts.count()
    shown = as_shown(owners_desk, "parts")
    shown[f"{row_of(shown, 'Pot')}-DELETE"] = "on"
    page = owners_desk.post(address("parts"), shown).content.decode()
    assert "A heading with parts under it cannot be removed." in page
    assert kind.parts.count() == count


def test_a_list_to_choose_from_has_its_words(owners_desk: Client) -> None:
    kind = Kind.objects.get(slug="banjo")
    shown = as_shown(owners_desk, "measures")
    new = spare(shown, "measures")
    shown |= {f"{new}-name": "Heel shape", f"{new}-quantity": "choice", f"{new}-words": "round"}
    page = owners_desk.post(address("measures"), shown).content.decode()
    assert "Write at least two, one a line." in page
    assert 'value="Heel shape"' in page
    shown[f"{new}-words"] = "round\r\nboat\r\n\r\nround"
    assert owners_desk.post(address("measures"), shown).status_code == 302
    assert kind.measures.get(slug="heel-shape").choices == ["round", "boat"]


def test_a_measure_that_records_have_stays_what_it_is(owners_desk: Client) -> None:
    instrument = InstrumentFactory()
    measure = instrument.kind.measures.get(slug="scale-length")
    Measurement.objects.create(instrument=instrument, measure=measure, amount=1680, unit="in64")
    shown = as_shown(owners_desk, "measures")
    shown[f"{row_of(shown, 'Scale length')}-quantity"] = "mass"
    page = owners_desk.post(address("measures"), shown).content.decode()
    assert "Records have this measurement already" in page
    measure.refresh_from_db()
    assert measure.quantity == "length"
