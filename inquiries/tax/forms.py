"""A rate, a policy, as the owner writes them down."""

import re
from datetime import date

from django import forms

from inquiries.tax.models import TaxPolicy, TaxRate

TWO_LETTERS = re.compile("[A-Z]{2}")


def day(label: str) -> forms.DateField:
    """A day, chosen or typed."""
    return forms.DateField(label=label, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))


def two_letters(text: str) -> str:
    """A country or a state, in capitals; anything but two letters is refused."""
    found = text.strip().upper()
    if found and not TWO_LETTERS.fullmatch(found):
        raise forms.ValidationError(f"“{text}” is not two letters. Write one such as US.", code="two-letters")
    return found


class RateForm(forms.ModelForm):
    """One rate."""

    starts = day("From")

    class Meta:
        model = TaxRate
        fields = ("jurisdiction", "country", "state", "postal", "percent", "starts", "source")

    def clean_jurisdiction(self) -> str:
        """The name with single spaces."""
        return " ".join(self.cleaned_data["jurisdiction"].split())

    def clean_country(self) -> str:
        """Two letters."""
        return two_letters(self.cleaned_data["country"])

    def clean_state(self) -> str:
        """Two letters, or none."""
        return two_letters(self.cleaned_data["state"])

    def clean_postal(self) -> str:
        """Codes with single spaces between them."""
        return " ".join(self.cleaned_data["postal"].upper().replace(",", " ").split())

    def clean(self) -> dict[str, object]:
        """Postal codes lie in a state."""
        values = super().clean() or self.cleaned_data
        if values.get("postal") and not values.get("state") and "state" not in self.errors:
            self.add_error("state", "Write the state in which these postal codes lie.")
        return values


class PolicyForm(forms.ModelForm):
    """One policy."""

    starts = day("From")

    class Meta:
        model = TaxPolicy
        fields = (
            "starts",
            "scheme",
            "sourcing",
            "shipping_taxable",
            "trade_in_allowed",
            "rounding",
            "inland",
            "note",
        )
        labels = {"rounding": "What is rounded"}
        help_texts = {
            "rounding": "To the least unit of the currency, such as a cent or a yen; half of it goes up. "
            "Under the margin scheme it is always the item."
        }

    def __init__(self, data: object = None, *, today: date) -> None:
        super().__init__(data, initial={"starts": today}, auto_id="policy_%s")  # type: ignore[arg-type]

    def clean_inland(self) -> str:
        """Countries with single spaces between them."""
        codes = self.cleaned_data["inland"].replace(",", " ").split()
        return " ".join(two_letters(code) for code in codes)
