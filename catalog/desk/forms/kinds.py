"""Kinds and their sheets."""

from typing import Any

from django import forms
from django.forms.models import BaseInlineFormSet, inlineformset_factory

from catalog.desk.forms.formsets import Rows
from catalog.desk.forms.section import PlainLines
from catalog.instruments.models import Configuration, Kind, Measure, Part, SheetRow, View
from catalog.instruments.sheet_actions import free_slug

SPARE = 4


class NewKindForm(forms.Form):
    """A kind's names."""

    name = forms.CharField(max_length=50, help_text="One of them: Tenor guitar.")
    plural = forms.CharField(max_length=60, help_text="Many of them: Tenor guitars.")


class SheetRows(Rows):
    """Rows of a sheet; a new row gets its short name from its name, and keeps it for good."""

    def save_new(self, form: Any, commit: bool = True) -> Any:
        """Keep a new row."""
        row: SheetRow = form.save(commit=False)
        # Asked now, so that rows added a moment ago in this same form count.
        known: Any = type(row)._default_manager
        row.slug = free_slug(row, known.filter(kind=self.instance))
        if commit:
            row.save()
        return row

    def add_fields(self, form: Any, index: int | None) -> None:
        """A part's heading is a part of the same sheet that is no part of another."""
        super().add_fields(form, index)
        form.fields["position"].label = "Place"
        if "quantity" in form.fields:
            form.fields["quantity"].choices = [("", "Choose"), *Measure.Quantity.choices]
        if parent := form.fields.get("parent"):
            parent.queryset = Part.objects.filter(kind=self.instance, parent=None).exclude(
                pk=form.instance.pk
            )
            parent.label = "Stands under"
            parent.empty_label = "Nothing: a part or a heading by itself"


class PartRows(SheetRows):
    """Parts; a heading goes only when nothing stands under it."""

    note = Part._meta.get_field("role").help_text

    def add_fields(self, form: Any, index: int | None) -> None:
        """What a part counts as is said of each; what follows from it once, above the rows."""
        super().add_fields(form, index)
        form.fields["role"].choices = Part.Role.choices
        form.fields["role"].help_text = ""

    def clean(self) -> None:
        """Refuse what would take other rows along, or put a heading under a heading."""
        super().clean()
        gone = {form.instance.pk for form in self.deleted_forms}
        headings = {
            form.cleaned_data["parent"].pk
            for form in self.forms
            if form.is_valid() and form.cleaned_data.get("parent") and form.instance.pk not in gone
        }
        if gone & headings:
            raise forms.ValidationError(
                "A heading with parts under it cannot be removed. Move or remove those first.", code="heading"
            )
        for form in self.forms:
            if form.is_valid() and form.cleaned_data.get("parent") and form.instance.pk in headings:
                form.add_error("parent", "A heading with parts under it cannot stand under another heading.")


class MeasureForm(forms.ModelForm):
    """A measure; the list of a choice is written one word a line."""

    words = PlainLines(
        label="Choices, one a line",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Only for “one of a list”.",
    )

    class Meta:
        model = Measure
        fields = ["position", "name", "quantity"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["words"].initial = "\n".join(self.instance.choices)

    def clean(self) -> dict[str, Any]:
        """A choice has at least two words to choose from; nothing else has any."""
        values = super().clean() or self.cleaned_data
        words = [line.strip() for line in values.get("words", "").splitlines() if line.strip()]
        choice = values.get("quantity") == Measure.Quantity.CHOICE
        if choice and len(set(words)) < 2:
            self.add_error("words", "Write at least two, one a line.")
        self.instance.choices = list(dict.fromkeys(words)) if choice else []
        if self.instance.pk and "quantity" in self.changed_data and self._in_use():
            self.add_error("quantity", "Records have this measurement already, so it stays what it is.")
        return values

    def _in_use(self) -> bool:
        from catalog.instruments.models import Measurement

        return Measurement.objects.filter(measure=self.instance.pk).exists()


SHEETS: dict[str, tuple[str, type[BaseInlineFormSet]]] = {
    "parts": (
        "Parts",
        inlineformset_factory(
            Kind, Part, formset=PartRows, fields=["position", "name", "parent", "role"], extra=SPARE
        ),
    ),
    "measures": (
        "Measurements",
        inlineformset_factory(
            Kind,
            Measure,
            form=MeasureForm,
            formset=SheetRows,
            fields=["position", "name", "quantity"],
            extra=SPARE,
        ),
    ),
    "views": (
        "Views",
        inlineformset_factory(
            Kind, View, formset=SheetRows, fields=["position", "name", "required"], extra=SPARE
        ),
    ),
    "configurations": (
        "Configurations",
        inlineformset_factory(
            Kind, Configuration, formset=SheetRows, fields=["position", "name"], extra=SPARE
        ),
    ),
}


def sheet_rows(kind: Kind, what: str, data: Any) -> BaseInlineFormSet:
    """The rows of one part of the sheet, with spare rows that continue the order."""
    last = getattr(kind, what).last()
    first = last.position + 1 if last else 1
    spare = [{"position": first + n} for n in range(SPARE)]
    return SHEETS[what][1](data, instance=kind, prefix=what, initial=spare)
