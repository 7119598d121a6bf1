"""The configuration as made against as it stands: what a dealer says of a conversion."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Finding, Instrument, Part
from shop.models import Entry
from tests.factories import NOON, InstrumentFactory

pytestmark = pytest.mark.django_db


def address(instrument: Instrument) -> str:
    return reverse("record-section", args=[instrument.stock_id, "conversion"])


def test_a_conversion_is_kept_with_its_history(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    typed = {"convertible_back": "yes", "conversion_when": "c. 1965", "conversion_note": "A new\r\nneck."}
    answer = helpers_desk.post(address(instrument), {"revision": instrument.revision, **typed})
    assert answer.status_code == 302
    now = Instrument.objects.get(pk=instrument.pk)
    assert (now.convertible_back, now.conversion_when, now.conversion_note) == (
        "yes",
        "c. 1965",
        "A new\nneck.",
    )
    told = set(Entry.objects.filter(about_id=instrument.pk).values_list("field", flat=True))
    assert told == {"can it be converted back", "when it was converted", "how it was converted"}


def test_a_date_nobody_can_read_changes_nothing_and_stays_typed(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    typed = {"conversion_when": "after the war", "conversion_note": "A new neck."}
    page = helpers_desk.post(address(instrument), {"revision": instrument.revision, **typed}).text
    assert "cannot be read as a date" in page
    assert 'value="after the war"' in page
    assert "A new neck." in page
    assert Instrument.objects.get(pk=instrument.pk).conversion_note == ""


def test_the_page_names_both_configurations_and_the_parts_that_are_kept(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    Finding.objects.create(
        instrument=instrument,
        part=Part.objects.get(kind=instrument.kind, slug="neck-wood"),
        state="later",
        seen="eye",
        original_kept=True,
        original_where="In the case",
        examined_at=NOON,
    )
    page = helpers_desk.get(address(instrument)).text
    for words in ("Tenor, four strings", "Five-string", "Neck and heel, in the case", "It is converted."):
        assert words in page


@pytest.mark.parametrize(
    ("made", "says"), [(True, "It stands as it was made"), (False, "While either is not known")]
)
def test_what_is_not_converted_has_nothing_to_fill_in(helpers_desk: Client, made: bool, says: str) -> None:
    instrument = InstrumentFactory()
    Instrument.objects.update(configuration_made=instrument.configuration_now if made else None)
    page = helpers_desk.get(address(instrument)).text
    assert says in page
    assert "convertible_back" not in page
    # What was written before is never hidden.
    Instrument.objects.update(conversion_note="A new neck.")
    assert "A new neck." in helpers_desk.get(address(instrument)).text
