"""What parts are made of: the section “Materials”, and the list behind it."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Instrument, Kind, Material, PartMaterial
from shop.models import Entry, User
from tests.catalog.test_desk_rows import address, as_shown
from tests.factories import InstrumentFactory

pytestmark = pytest.mark.django_db


def typed_row(instrument: Instrument, **more: Any) -> dict[str, Any]:
    board = instrument.kind.parts.get(slug="fingerboard")
    wood = Material.objects.get(name="Brazilian rosewood")
    return {
        f"materials-0-{key}": value for key, value in {"part": board.pk, "material": wood.pk, **more}.items()
    }


def test_a_material_of_a_part_is_kept_with_its_evidence_and_told_by_the_history(
    helpers_desk: Client, helper: User
) -> None:
    instrument = InstrumentFactory()
    path = address(instrument, "materials")
    told = typed_row(
        instrument, when="not after 1930", seen="loupe", evidence="Pores and smell", note="For us"
    )
    answer = helpers_desk.post(path, as_shown(helpers_desk, instrument, "materials") | told)
    assert answer.status_code == 302
    row = PartMaterial.objects.get()
    assert (row.material.can_be, row.when_latest, row.origin) == (("Dalbergia nigra",), 1930, "unknown")
    entry = Entry.objects.get(about_id=instrument.pk, field="materials")
    assert "Pores and smell" in entry.new
    assert entry.by == helper


def test_a_date_that_cannot_be_read_and_a_part_of_another_kind_are_refused(helpers_desk: Client) -> None:
    instrument = InstrumentFactory()
    strange = Kind.objects.exclude(pk=instrument.kind_id).first().parts.filter(children=None).first()  # type: ignore[union-attr]
    path = address(instrument, "materials")
    for wrong in ({"fitted": "the day before"}, {"when": "1931-13"}, {"part": strange.pk}):  # type: ignore[union-attr]
        told = typed_row(instrument, **wrong)
        answer = helpers_desk.post(path, as_shown(helpers_desk, instrument, "materials") | told)
        assert answer.status_code == 200, wrong
        assert answer.context["form"].rows[0].errors
    assert not PartMaterial.objects.exists()


def test_the_owner_adds_and_retires_and_a_record_keeps_what_was_retired(
    owners_desk: Client, helpers_desk: Client
) -> None:
    new = {
        "name": "Snakewood",
        "species": "Brosimum guianense",
        "sort": "plant",
        "source": "A wood book, page 9",
    }
    assert helpers_desk.post(reverse("material-add"), new).status_code == 403
    assert owners_desk.post(reverse("material-add"), new).status_code == 302
    again = owners_desk.post(reverse("material-add"), new)
    assert "Retire it first" in again.content.decode()
    wood = Material.objects.get(name="Snakewood")
    instrument = InstrumentFactory()
    told = typed_row(instrument, material=wood.pk)
    owners_desk.post(address(instrument, "materials"), as_shown(owners_desk, instrument, "materials") | told)
    assert owners_desk.post(reverse("material-retire", args=[wood.pk])).status_code == 302
    shown = helpers_desk.get(address(instrument, "materials")).context["form"].rows
    assert str(wood) in dict(shown[0].fields["material"].choices).values()
    assert str(wood) not in dict(shown[1].fields["material"].choices).values()
    assert "retired" in helpers_desk.get(reverse("materials")).content.decode()


def test_a_material_without_a_source_is_not_taken(owners_desk: Client) -> None:
    new = {"name": "Snakewood", "species": "", "sort": "plant", "source": ""}
    assert owners_desk.post(reverse("material-add"), new).status_code == 200
    assert not Material.objects.filter(name="Snakewood").exists()
