"""Who made it, when, and how it is set out."""

import uuid
from datetime import datetime
from typing import Any

from django import forms
from django.http import QueryDict

from catalog.dating.forms import DatedField, DealerDate
from catalog.dating.reading import MadeDate, read_date, understood
from catalog.desk.forms.section import RecordForm
from catalog.instruments.actions import open_record
from catalog.instruments.models import Instrument, Kind, Maker, Model
from catalog.instruments.naming_actions import identify, maker_called, model_called
from shop.staff.models import User


class NameField(forms.CharField):
    """A name chosen from those known, or typed new; `known` stands in the list of that id beside it."""

    def __init__(self, label: str, list_id: str, help_text: str) -> None:
        widget = forms.TextInput(attrs={"list": list_id, "autocomplete": "off"})
        super().__init__(max_length=120, required=False, label=label, help_text=help_text, widget=widget)

    def to_python(self, value: Any) -> str:
        """The name with single spaces."""
        return " ".join(str(super().to_python(value) or "").split())


class NamesForm(forms.Form):
    """Maker and model by name."""

    maker = NameField("Maker", "makers", "Choose one, or type a new name. Leave it empty while unknown.")
    model = NameField("Model", "models", "Choose one of this maker’s, or type a new name.")

    def clean(self) -> dict[str, Any]:
        """A model belongs to a maker."""
        if self.cleaned_data.get("model") and not self.cleaned_data.get("maker"):
            self.add_error("maker", "A model needs its maker. Name the maker too.")
        return self.cleaned_data

    def makers(self) -> list[str]:
        """Every maker's name, for the list beside the field."""
        return list(Maker.objects.values_list("name", flat=True))

    def models(self) -> list[str]:
        """Every model's name once, those of the maker that stands in the form alone if there is one."""
        named = Model.objects.all()
        if maker := self["maker"].value():
            named = named.filter(maker__name__iexact=maker)
        return sorted(set(named.values_list("name", flat=True)))


class NewRecordForm(NamesForm):
    """The first facts of a new record. `entry` names the press: two presses of one form open one record."""

    entry = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    kind = forms.ModelChoiceField(queryset=Kind.objects.all(), empty_label="Choose a kind")
    field_order = ["kind", "maker", "model"]

    def open(self, *, by: User, at: datetime) -> Instrument:
        """Open the record under the next stock number; call it inside a transaction."""
        values = self.cleaned_data
        maker = maker_called(values["maker"], by=by, at=at)
        model = model_called(maker, values["model"], by=by, at=at) if maker else None
        return open_record(values["kind"], by=by, at=at, maker=maker, model=model)


class IdentityForm(NamesForm, RecordForm):
    """Maker, model, date of make with its evidence, configurations."""

    template = "desk/stock/identity.html"
    columns = ["made", "made_evidence", "configuration_made", "configuration_now"]
    lines = {"made_evidence": 3}
    field_order = ["maker", "model", *columns]

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        super().__init__(instrument, data, user)
        self.initial["maker"] = instrument.maker.name if instrument.maker else ""
        self.initial["model"] = instrument.model.name if instrument.model else ""
        made = self.fields["made"]
        self.date: MadeDate | None = None
        self.fields["made"] = DealerDate(required=False, label=made.label, help_text=made.help_text)
        for name in ("configuration_made", "configuration_now"):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - a programmer's slip
            field.queryset = instrument.kind.configurations.all()
            field.empty_label = "Not known"
        self.order_fields(self.field_order)

    def clean_made(self) -> str:
        """The date as typed. A reading that was not on the screen yet comes back once, to be seen first."""
        typed = str(self.cleaned_data["made"])
        self.date = read_date(typed) if typed else None
        shown = self["made"]
        assert isinstance(shown, DatedField)  # noqa: S101 - a programmer's slip
        if self.date and not shown.was_shown(self.date):
            message = f"Understood: {understood(self.date)}. If that is what you mean, save again."
            raise forms.ValidationError(message, code="show-first")
        return typed

    def values(self) -> dict[str, Any]:
        """The columns, with the date in its stored form beside the typed one."""
        date = self.date
        return {
            **super().values(),
            "made_edtf": date.edtf if date else "",
            "made_earliest": date.earliest if date else None,
            "made_latest": date.latest if date else None,
        }

    def keep(self, *, by: User, at: datetime, revision: int | None) -> list[str]:
        """Change the record, adding a maker or a model that is new."""
        maker, model = self.cleaned_data["maker"], self.cleaned_data["model"]
        return identify(self.instrument, maker, model, self.values(), by=by, at=at, revision=revision)
