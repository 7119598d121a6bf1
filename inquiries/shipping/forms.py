"""A rule of a carrier, as the owner writes it down."""

from typing import Any

from django import forms

from inquiries.desk.fields import MoneyField
from inquiries.shipping.models import CarrierRule
from inquiries.tax.forms import day


class CarrierRuleForm(forms.ModelForm):
    """One rule, for one of the shop's own carriers; a declared value is in the shop's currency."""

    starts = day("From")
    read_on = day("Read on")

    class Meta:
        model = CarrierRule
        fields = (
            "carrier",
            "starts",
            "measured",
            "divisor",
            "above",
            "side",
            "weight",
            "girth_limit",
            "longest",
            "heaviest",
            "declared_limit",
            "source",
            "read_on",
        )

    def __init__(self, *args: Any, carriers: list[str], currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.currency = currency
        choices = [("", "Choose"), *((name, name) for name in carriers)]
        note = "As the profile names it. A service with terms of its own is a carrier of its own there."
        self.fields["carrier"] = forms.ChoiceField(choices=choices, help_text=note)
        self.fields["declared_limit"] = MoneyField(
            currency=currency, kept=2, required=False, label=f"Declared value at most, {currency}"
        )

    def clean(self) -> dict[str, Any]:
        """A volume matters to a divisor only; the currency goes along."""
        given = super().clean() or self.cleaned_data
        if given.get("above") is not None and given.get("divisor") is None and "divisor" not in self.errors:
            self.add_error("divisor", "Write the divisor that applies above this volume.")
        given["currency"] = self.currency
        return given
