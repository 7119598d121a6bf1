"""Narrow the stock."""

from django import forms

from catalog.desk.queries import STANDINGS


class StockFilter(forms.Form):
    """By state and by text; what cannot be read narrows nothing."""

    q = forms.CharField(
        label="Find", required=False, max_length=120, widget=forms.TextInput({"type": "search"})
    )
    state = forms.ChoiceField(
        label="State", required=False, choices=[("", "Every state"), *STANDINGS.items()]
    )

    def chosen(self) -> tuple[str, str]:
        """State and text."""
        self.is_valid()
        return self.cleaned_data.get("state", ""), self.cleaned_data.get("q", "")
