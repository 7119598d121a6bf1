"""The sections of a record that are rows: numbers, what comes with it, provenance."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import FoundNumber, Included, Instrument, Provenance
from shop.models import Entry, User
from tests.factories import InstrumentFactory

pytestmark = pytest.mark.django_db


def address(instrument: Instrument, section: str) -> str:
    return reverse("record-section", args=[instrument.stock_id, section])


def as_shown(client: Client, instrument: Instrument, section: str) -> dict[str, Any]:
    """Everything that the page would send back if Save were pressed at once."""
    rows = client.get(address(instrument, section)).context["form"].rows
    fields = [field for form in [rows.management_form, *rows] for field in form]
    shown = {field.html_name: field.value() for field in fields}
    shown = {name: value for name, value in shown.items() if value is not None and value is not False}
    return {**shown, "revision": Instrument.objects.get(pk=instrument.pk).revision}


def test_spare_rows_left_alone_are_no_rows(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    for section in ("numbers", "included", "provenance"):
        answer = helpers_desk.post(address(instrument, section), as_shown(helpers_desk, instrument, section))
        assert answer.status_code == 302
    assert not FoundNumber.objects.exists()
    assert not Included.objects.exists()
    assert not Provenance.objects.exists()
    assert not Entry.objects.filter(about_id=instrument.pk, about="instrument").exists()


def test_a_number_is_added_changed_and_removed_with_history(helpers_desk: Client, helper: User) -> None:
    instrument = InstrumentFactory()
    path = address(instrument, "numbers")
    typed = {"numbers-0-value": "4417", "numbers-0-where": "on the dowel"}
    helpers_desk.post(path, as_shown(helpers_desk, instrument, "numbers") | typed)
    changed = {"numbers-0-value": "4477", "numbers-0-legibility": "faint"}
    helpers_desk.post(path, as_shown(helpers_desk, instrument, "numbers") | changed)
    assert str(FoundNumber.objects.get()) == "Serial number 4477, on the dowel"
    helpers_desk.post(path, as_shown(helpers_desk, instrument, "numbers") | {"numbers-0-DELETE": "on"})
    assert not FoundNumber.objects.exists()
    told = Entry.objects.filter(about_id=instrument.pk, field="numbers").order_by("pk")
    assert [(entry.old, entry.new, entry.by) for entry in told] == [
        ("", "Serial number · 4417 · on the dowel · Clear", helper),
        (
            "Serial number · 4417 · on the dowel · Clear",
            "Serial number · 4477 · on the dowel · Faint",
            helper,
        ),
        ("Serial number · 4477 · on the dowel · Faint", "", helper),
    ]


def test_a_number_without_its_place_changes_nothing_and_stays_typed(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    typed = {
        "numbers-0-value": "4417",
        "numbers-0-where": "on the dowel",
        "numbers-1-value": "88-B",
        "numbers-1-where": "",
    }
    answer = helpers_desk.post(
        address(instrument, "numbers"), as_shown(helpers_desk, instrument, "numbers") | typed
    )
    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'value="88-B"' in page
    assert 'value="4417"' in page
    assert "row-wrong" in page
    assert not FoundNumber.objects.exists()


def test_the_same_press_twice_adds_one_row(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    typed = as_shown(helpers_desk, instrument, "included") | {"included-0-what": "Hard case"}
    assert helpers_desk.post(address(instrument, "included"), typed).status_code == 302
    again = helpers_desk.post(address(instrument, "included"), typed)
    assert "This record was changed after you opened the page." in again.content.decode()
    assert [row.what for row in Included.objects.all()] == ["Hard case"]


def test_provenance_stands_in_its_order_with_a_private_note(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    typed = {
        "provenance-0-position": "2",
        "provenance-0-when": "1951",
        "provenance-0-kind": "owned",
        "provenance-0-public": "A dance band in the river towns",
        "provenance-0-private": "Told by the niece",
        "provenance-1-position": "1",
        "provenance-1-when": "1931",
        "provenance-1-kind": "sold-new",
        "provenance-1-public": "Sold new",
    }
    helpers_desk.post(
        address(instrument, "provenance"), as_shown(helpers_desk, instrument, "provenance") | typed
    )
    assert [(row.when, row.private) for row in instrument.provenance.all()] == [
        ("1931", ""),
        ("1951", "Told by the niece"),
    ]
    spare = helpers_desk.get(address(instrument, "provenance")).context["form"].rows.extra_forms
    assert [form["position"].value() for form in spare] == [3, 4, 5]


def test_rows_of_another_record_are_out_of_reach(helpers_desk: Client) -> None:
    mine, other = InstrumentFactory(), InstrumentFactory()
    row = Included.objects.create(instrument=other, what="Hard case")
    typed = {
        "included-TOTAL_FORMS": "1",
        "included-INITIAL_FORMS": "1",
        "included-0-id": str(row.pk),
        "included-0-what": "Stolen",
        "revision": mine.revision,
    }
    helpers_desk.post(address(mine, "included"), typed)
    row.refresh_from_db()
    assert (row.instrument, row.what) == (other, "Hard case")
