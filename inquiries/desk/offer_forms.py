"""Forms of an offer: what a buyer would give, and why it ends."""

from typing import Any

from django import forms

from inquiries.desk.fields import MoneyField
from inquiries.desk.inquiry_forms import EntryForm


class OfferForm(EntryForm):
    """What a buyer would give: money, perhaps a trade-in, and until when."""

    field_order = ["amount", "trade_in", "trade_in_value", "until", "note", "entry"]

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        # It stands on one page with the answer, and an id is given once to a page.
        super().__init__(*args, **{"auto_id": "offer_%s", **options})
        self.fields["amount"] = MoneyField(currency=currency, nought=True, kept=2, label=f"Money, {currency}")
        self.fields["trade_in"] = forms.CharField(label="Traded in", max_length=300, required=False)
        self.fields["trade_in"].help_text = "What they would give besides the money."
        self.fields["trade_in_value"] = MoneyField(
            currency=currency,
            nought=True,
            kept=2,
            required=False,
            label=f"What we would count it for, {currency}",
        )
        self.fields["until"] = forms.DateTimeField(
            label="Good until",
            required=False,
            widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
            help_text="On the clock of the shop. Left empty, it stands until somebody ends it.",
        )
        self.fields["note"] = forms.CharField(
            max_length=300, required=False, help_text="Stays at the desk, as all of this does."
        )
        self.order_fields(self.field_order)

    def clean(self) -> dict[str, Any]:
        """A value is the value of something; an offer is of something."""
        given = super().clean() or self.cleaned_data
        if given.get("trade_in_value") is not None and not given.get("trade_in"):
            missing = forms.ValidationError("Write what would be traded in.", code="no-trade-in")
            self.add_error("trade_in", missing)
        if not self.errors and not given["amount"] and not given["trade_in"]:
            nothing = forms.ValidationError(
                "Write an amount, or what would be traded in.", code="nothing-given"
            )
            self.add_error("amount", nothing)
        return given


class EndOfferForm(forms.Form):
    """Why an offer ends without being accepted."""

    reason = forms.CharField(label="Why", max_length=300, required=False)
