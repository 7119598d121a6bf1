"""Take a material into the list, and retire one: what stands in records stays as it is."""

from datetime import date, datetime

from django.db import transaction

from catalog.materials.models import Material
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def add_material(
    *,
    name: str,
    species: str,
    sort: str,
    source: str,
    note: str = "",
    on: date,
    by: User | None,
    at: datetime,
) -> Material:
    """Add a material to the list; Refused when one in use has the name."""
    if Material.objects.filter(name__iexact=name, retired_at=None).exists():
        raise Refused(f"“{name}” is in the list. Retire it first, and add it anew.", code="material-known")
    material = Material.objects.create(
        name=name, species=species, sort=sort, source=source, note=note, added_on=on
    )
    record(material, "added", by=by, at=at, new=str(material))
    return material


@transaction.atomic
def retire_material(material: Material, *, by: User | None, at: datetime) -> None:
    """Offer it no longer; a second press changes nothing."""
    if Material.objects.filter(pk=material.pk, retired_at=None).update(retired_at=at):
        record(material, "retired", by=by, at=at, old=str(material))
