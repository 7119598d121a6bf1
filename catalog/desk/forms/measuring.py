"""One field for each measurement on the kind's sheet."""

from datetime import datetime
from typing import Any

from django import forms
from django.http import QueryDict

from catalog.instruments.measuring_actions import Measured, measure
from catalog.instruments.models import Instrument, Measure, Measurement
from shop.staff.models import User
from shop.units import UnreadableMeasure, parse_length, parse_mass

Quantity = Measure.Quantity


class MeasureField(forms.CharField):
    """A length, a mass, a count or a word, as `what` asks; None for nothing typed."""

    def __init__(self, what: Measure, known: Measurement | None) -> None:
        super().__init__(required=False, max_length=80, label=what.name)
        self.quantity = what.quantity
        if what.quantity == Quantity.CHOICE:
            words = dict.fromkeys([*what.choices, known.word if known else ""])
            self.widget = forms.Select(choices=[("", "Not measured"), *((w, w) for w in words if w)])
        elif what.quantity == Quantity.COUNT:
            self.widget.attrs["inputmode"] = "numeric"
        elif known is not None:
            self.help_text = known.shown

    def clean(self, value: Any) -> Measured | None:
        """What was measured; a sentence when it cannot be read."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return self._read(text)
        except UnreadableMeasure as error:
            raise forms.ValidationError(error.message, code=error.code) from error

    def _read(self, text: str) -> Measured:
        if self.quantity == Quantity.LENGTH:
            return Measured(*parse_length(text).stored)
        if self.quantity == Quantity.MASS:
            return Measured(*parse_mass(text).stored)
        if self.quantity == Quantity.CHOICE:
            return self._chosen(text)
        if not (text.isascii() and text.isdecimal() and len(text) <= 4):
            raise UnreadableMeasure(f"“{text}” is no count. Write a whole number.", code="count")
        return Measured(int(text), "count")

    def _chosen(self, text: str) -> Measured:
        assert isinstance(self.widget, forms.Select)  # noqa: S101 - set above
        if text not in {key for key, _ in self.widget.choices}:
            raise UnreadableMeasure(f"“{text}” is not in the list.", code="choice")
        return Measured(word=text)


class MeasurementsForm(forms.Form):
    """Every measurement of the kind's sheet, shown back in both units under its field."""

    template = "desk/stock/measurements.html"

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        self.instrument = instrument
        self.measures = {field_name(what): what for what in instrument.kind.measures.all()}
        known = {row.measure_id: row for row in instrument.measurements.select_related("measure")}
        shown = {name: known[what.pk].shown for name, what in self.measures.items() if what.pk in known}
        # The typed half of what is shown: without the other unit in brackets.
        super().__init__(data, initial={name: text.split(" (")[0] for name, text in shown.items()})
        for name, what in self.measures.items():
            self.fields[name] = MeasureField(what, known.get(what.pk))

    def keep(self, *, by: User, at: datetime, revision: int | None) -> bool:
        """Set what was measured, and drop what was emptied."""
        taken = {what: self.cleaned_data[name] for name, what in self.measures.items()}
        return measure(self.instrument, taken, by=by, at=at, revision=revision)


def field_name(what: Measure) -> str:
    """The name of a measure's field, such as `scale_length`."""
    return what.slug.replace("-", "_")
