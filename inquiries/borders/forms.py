"""What a check needs to be told, and a rule as the owner writes it."""

import uuid
from datetime import date
from typing import Any

from django import forms

from inquiries.borders.conditions import HOW_TO_WRITE, UnreadableCondition, alternatives
from inquiries.borders.models import BorderRule
from inquiries.people.places import countries, country_name

PURPOSES = [("sale", "Sale"), ("loan", "Loan"), ("own-use", "Own use")]
GOODS = [
    ("fretted", "Fretted instrument, acoustic"),
    ("electric", "Instrument amplified electrically"),
    ("bowed", "Instrument played with a bow"),
    ("fretted-parts", "Parts or accessories of an acoustic instrument"),
    ("electric-parts", "Parts or accessories of an electric instrument"),
    ("strings", "Strings"),
    ("other", "Other goods"),
]
FINISHES = [
    ("", "Not known"),
    ("instrument", "Finished instrument, part or accessory"),
    ("product", "Another finished product"),
    ("raw", "Wood or a blank, not finished"),
]


class CheckForm(forms.Form):
    """A journey. `entry` names the press that keeps the check."""

    leaving = forms.ChoiceField(label="From")
    entering = forms.ChoiceField(label="To")
    purpose = forms.ChoiceField(label="Sent for", choices=PURPOSES)
    on = forms.DateField(
        label="Day of the shipment", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    goods = forms.ChoiceField(label="Kind of goods", choices=GOODS)
    finish = forms.ChoiceField(label="How finished", choices=FINISHES, required=False)
    kilograms = forms.DecimalField(
        label="Wood of listed species in the whole shipment, kg",
        required=False,
        min_value=0,
        max_digits=7,
        decimal_places=3,
        help_text="The wood alone. Empty when nobody has weighed it.",
    )
    percent = forms.DecimalField(
        label="Share of ivory in the volume, %",
        required=False,
        min_value=0,
        max_value=100,
        max_digits=5,
        decimal_places=2,
        help_text="Empty when there is none, or nobody knows.",
    )
    entry = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Any, *, leaving: str, entering: str, on: date) -> None:
        initial = {"leaving": leaving, "entering": entering, "on": on, "finish": "instrument"}
        super().__init__(data, initial={**initial, "entry": uuid.uuid4()})
        for name in ("leaving", "entering"):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)  # noqa: S101 - a programmer's slip, not a reader's
            field.choices = [("", "Choose"), *countries().items()]

    def given(self) -> dict[str, Any]:
        """What was typed, as the rules read it."""
        return {name: value for name, value in self.cleaned_data.items() if name != "entry"}

    def told(self) -> dict[str, str]:
        """What was typed, in words."""
        given = self.cleaned_data
        return {
            "From": country_name(given["leaving"]),
            "To": country_name(given["entering"]),
            "Sent for": dict(PURPOSES)[given["purpose"]],
            "Day of the shipment": given["on"].isoformat(),
            "Kind of goods": dict(GOODS)[given["goods"]],
            "How finished": dict(FINISHES)[given["finish"]],
            "Wood of listed species": _measured(given["kilograms"], "kg"),
            "Share of ivory": _measured(given["percent"], "%"),
        }


def _measured(amount: object, unit: str) -> str:
    return "Not known" if amount is None else f"{amount} {unit}"


class RuleForm(forms.ModelForm):
    """A rule, with its source and the day on which it was read."""

    class Meta:
        model = BorderRule
        fields = [
            "law",
            "says",
            "otherwise",
            "outcome",
            "taxa",
            "without",
            "sort",
            "way",
            "countries",
            "since",
            "until",
            "applies_if",
            "unless",
            "source",
            "read_on",
            "certainty",
        ]
        widgets = {
            "says": forms.Textarea(attrs={"rows": 3}),
            "otherwise": forms.Textarea(attrs={"rows": 2}),
            "applies_if": forms.Textarea(attrs={"rows": 2}),
            "unless": forms.Textarea(attrs={"rows": 2}),
            **{
                name: forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
                for name in ("since", "until", "read_on")
            },
        }

    how_to_write = HOW_TO_WRITE

    def clean_applies_if(self) -> str:
        """Refuse lines that the rules cannot read."""
        return _read(self.cleaned_data["applies_if"])

    def clean_unless(self) -> str:
        """Refuse lines that the rules cannot read."""
        return _read(self.cleaned_data["unless"])

    def clean(self) -> dict[str, Any]:
        """Refuse a reading without a day, and an end before the beginning."""
        given = super().clean() or self.cleaned_data
        if given.get("certainty") not in (None, BorderRule.Certainty.MEMORY) and not given.get("read_on"):
            self.add_error("read_on", "Say on which day it was read, or that it is from memory.")
        since, until = given.get("since"), given.get("until")
        if since and until and until <= since:
            self.add_error("until", "It ends before it is in force.")
        return given


def _read(text: str) -> str:
    """The lines as typed, with bare line ends."""
    try:
        alternatives(text)
    except UnreadableCondition as error:
        raise forms.ValidationError(error.message) from error
    return text.replace("\r\n", "\n").strip()
