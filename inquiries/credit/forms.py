"""Forms of store credit and of a piece taken in part payment."""

from decimal import Decimal
from typing import Any

from django import forms

from catalog.models import Kind
from inquiries.credit.actions import Traded
from inquiries.desk.fields import MoneyField
from inquiries.desk.inquiry_forms import EntryForm


class CreditForm(EntryForm):
    """An amount of store credit, given or used."""

    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, currency: str, amount: Decimal | None = None, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["amount"] = MoneyField(currency=currency, label=f"Amount, {currency}", initial=amount)
        self.order_fields(["amount", "note", "entry"])


class TradeForm(EntryForm):
    """A piece that the buyer gives, and what it counts for."""

    kind = forms.ModelChoiceField(label="Kind", queryset=Kind.objects.order_by("name"), empty_label="Choose")
    description = forms.CharField(
        label="What it is",
        max_length=300,
        help_text="As on the paper that both sign. Its record is opened with it.",
    )

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["value"] = MoneyField(currency=currency, kept=2, label=f"Counts for, {currency}")
        self.order_fields(["kind", "description", "value", "entry"])

    def traded(self) -> Traded:
        """The piece as the deed takes it."""
        given = self.cleaned_data
        return Traded(given["kind"], given["description"], given["value"], given["entry"])
