"""What every section of a record has in common: a form that checks what was typed and keeps it by a deed."""

from datetime import datetime
from typing import Any, ClassVar, Protocol

from django import forms
from django.db.models import URLField
from django.forms.models import fields_for_model
from django.http import QueryDict

from catalog.instruments.actions import change_record
from catalog.instruments.models import Instrument
from shop.staff.models import User


class SectionForm(Protocol):
    """A section's form: `keep` is called only when `is_valid`; it raises Refused, and then nothing is kept."""

    template: str

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None: ...

    def is_valid(self) -> bool:
        """Whether everything typed can be read."""

    def keep(self, *, by: User, at: datetime, revision: int | None) -> object:
        """Keep it; something true when the record differs now."""


class PlainLines(forms.CharField):
    """Words in lines, with the one line end that the record keeps: browsers send two characters."""

    widget = forms.Textarea

    def to_python(self, value: Any) -> str:
        """The text with bare line ends."""
        return str(super().to_python(value) or "").replace("\r\n", "\n")


class RecordForm(forms.Form):
    """Columns of the record itself, with the model's own labels and help."""

    template = "desk/stock/section.html"
    columns: ClassVar[list[str]] = []
    lines: ClassVar[dict[str, int]] = {}
    blanks: ClassVar[dict[str, str]] = {}

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        self.instrument = instrument
        super().__init__(data, initial={name: getattr(instrument, name) for name in self.columns})
        self.fields.update(fields_for_model(Instrument, self.columns, formfield_callback=_field))
        for name, rows in self.lines.items():
            column = self.fields[name]
            self.fields[name] = lines_field(rows, label=column.label, help_text=column.help_text)
        for name, word in self.blanks.items():
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101 - a programmer's slip, not a reader's
            known = [(key, name) for key, name in field.choices if key]  # type: ignore[union-attr, misc]
            field.choices = [("", word), *known]

    def values(self) -> dict[str, Any]:
        """Column and value, as the record keeps them."""
        return {name: self.cleaned_data[name] for name in self.columns}

    def keep(self, *, by: User, at: datetime, revision: int | None) -> list[str]:
        """Change the record; the names of what differs."""
        return change_record(self.instrument, self.values(), by=by, at=at, revision=revision)


def _field(column: Any, **kwargs: Any) -> forms.Field | None:
    """The column's own field; an address typed without its beginning is a secure one."""
    if isinstance(column, URLField):
        kwargs["assume_scheme"] = "https"
    field: forms.Field | None = column.formfield(**kwargs)
    return field


def lines_field(rows: int, *, label: Any, help_text: Any) -> PlainLines:
    """A text of several lines that may be empty."""
    return PlainLines(
        required=False, label=label, help_text=help_text, widget=forms.Textarea(attrs={"rows": rows})
    )
