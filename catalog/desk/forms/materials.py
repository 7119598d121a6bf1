"""What each part is made of, and the list of materials."""

from typing import Any

from django import forms
from django.forms.models import inlineformset_factory

from catalog.dating.forms import DealerDate
from catalog.desk.forms.formsets import Rows
from catalog.desk.forms.rows import SPARE, RowsForm
from catalog.instruments.models import Instrument
from catalog.materials.models import Material, PartMaterial
from catalog.originality.models import Finding
from catalog.originality.queries import leaf_parts


class MaterialRowForm(forms.ModelForm):
    """One material of one part."""

    when = DealerDate(label="Taken from nature, or by when", required=False)
    fitted = DealerDate(label="Put on, if later than the make", required=False)

    class Meta:
        model = PartMaterial
        fields = ["part", "material", "origin", "when", "fitted", "seen", "evidence", "note"]


class MaterialRows(Rows):
    """The parts of the instrument's own sheet, and the materials in use, each asked for once a page."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.part_rows = leaf_parts(self.instance)
        self.material_rows = list(Material.objects.all())

    def add_fields(self, form: Any, index: int | None) -> None:
        """Offer no part of another kind; a retired material stands where it was chosen before."""
        super().add_fields(form, index)
        chosen = form.instance.material_id
        offered = [row for row in self.material_rows if row.retired_at is None or row.pk == chosen]
        part, material = form.fields["part"], form.fields["material"]
        part.queryset = self.instance.kind.parts.filter(children=None)
        part.choices = [("", "Choose"), *((row.pk, row.name) for row in self.part_rows)]
        material.queryset = Material.objects.filter(pk__in=[row.pk for row in offered])
        material.choices = [("", "Choose"), *((row.pk, str(row)) for row in offered)]
        form.fields["seen"].choices = [("", "Not said"), *Finding.Seen.choices]


class MaterialsForm(RowsForm):
    """What each part is made of."""

    template = "desk/stock/materials.html"
    relation = "materials"
    anchor = "material"
    formset = inlineformset_factory(
        Instrument, PartMaterial, form=MaterialRowForm, formset=MaterialRows, extra=SPARE
    )


class NewMaterialForm(forms.ModelForm):
    """A material for the list."""

    class Meta:
        model = Material
        fields = ["name", "species", "sort", "source", "note"]
