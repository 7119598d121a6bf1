"""Jobs of repair and set-up: the owner's forms."""

import uuid
from datetime import date

from django import forms
from django.http import QueryDict

from catalog.desk.forms.costs import day_field
from catalog.desk.forms.price import AmountField
from catalog.pricing.models import Work


class WorkForm(forms.Form):
    """A job that begins. `entry` names the press of the form."""

    entry = forms.UUIDField(widget=forms.HiddenInput)
    kind = forms.ChoiceField(label="What kind", choices=Work.Kind.choices)
    what = forms.CharField(label="What is to be done", max_length=300)
    who = forms.CharField(label="Who does it", max_length=120)
    begun_on = day_field("Given on")

    def __init__(self, data: QueryDict | None, *, currency: str, today: date) -> None:
        super().__init__(data, initial={"entry": uuid.uuid4(), "begun_on": today}, prefix="work")
        self.fields["estimate"] = AmountField(
            currency=currency, required=False, label=f"Estimated at, {currency}"
        )


class BackForm(forms.Form):
    """A job that is done."""

    done_on = day_field("Came back on")
    outcome = forms.CharField(label="What was done", max_length=300)

    def __init__(self, data: QueryDict | None, *, currency: str, today: date, work: Work) -> None:
        initial = {"done_on": today, "outcome": work.what, "cost": work.estimate}
        super().__init__(data, initial=initial, prefix=f"back-{work.pk}")
        self.fields["cost"] = AmountField(
            currency=currency,
            required=False,
            label=f"What it came to, {currency}",
            help_text="Becomes a cost row. Left empty, none is added.",
        )
