"""Forms of a sale. Every one that adds money carries the token that makes one press one row."""

from collections.abc import Iterable
from typing import Any

from django import forms

from inquiries.desk.fields import MoneyField
from inquiries.desk.inquiry_forms import EntryForm
from inquiries.sales.actions import Received
from inquiries.sales.ledger_models import LedgerRow
from shop.money import Money

METHODS = [("", "Choose"), *LedgerRow.Method.choices]


class MoneyForm(EntryForm):
    """An amount, how it comes or goes, and a note."""

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["amount"] = MoneyField(currency=currency, label=f"Amount, {currency}")
        self.fields["method"] = forms.ChoiceField(label="How", choices=METHODS)
        self.fields["note"] = forms.CharField(max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        """Put together `money`, as the deeds take it; None when the amount may be empty and is."""
        given = super().clean() or self.cleaned_data
        if not self.errors:
            amount, entry, note = given["amount"], given["entry"], given.get("note", "")
            given["money"] = None if amount is None else Received(amount, given["method"], entry, note)
        return given


class EndForm(MoneyForm):
    """The sale is off: why, and what is paid back (left empty for nothing)."""

    field_order = ["reason", "amount", "method", "entry"]

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, currency=currency, **options)
        self.fields["reason"] = forms.CharField(label="Why", max_length=300)
        self.fields["amount"].required = self.fields["method"].required = False
        self.fields["amount"].label = f"Paid back, {currency}"
        self.fields["amount"].help_text = "Left empty, nothing is paid back and what was received is kept."
        self.fields["method"].label = "How it is paid back"
        del self.fields["note"]
        self.order_fields(self.field_order)

    def clean(self) -> dict[str, Any]:
        """Money paid back goes some way."""
        given = super().clean() or self.cleaned_data
        if given.get("amount") and not given.get("method"):
            self.add_error("method", forms.ValidationError("Choose how it is paid back.", code="required"))
        return given


class ChargeForm(EntryForm):
    """What the running sale charges is changed: a part of the price taken back, or shipping agreed on later."""

    what = forms.ChoiceField(
        label="What",
        choices=[("price", "Price taken back"), ("shipping", "Shipping charged")],
    )
    reason = forms.CharField(label="Why", max_length=200, help_text="It stands on the invoice.")

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["amount"] = MoneyField(currency=currency, label=f"Amount, {currency}")
        self.order_fields(["what", "amount", "reason", "entry"])


class RowForm(forms.Form):
    """Names one row of the ledger."""

    row = forms.IntegerField(widget=forms.HiddenInput)


class ReverseForm(RowForm):
    """Undo a mistaken row."""

    reason = forms.CharField(label="What was mistaken", max_length=200)

    def __init__(self, *args: Any, rows: Iterable[LedgerRow] = (), **options: Any) -> None:
        super().__init__(*args, **options)
        choices = [
            (str(row.pk), f"{row.get_kind_display()}, {Money(abs(row.amount), row.currency)}") for row in rows
        ]
        self.fields["row"] = forms.TypedChoiceField(label="Which row", choices=choices, coerce=int)
        self.order_fields(["row", "reason"])


class PayoutForm(forms.Form):
    """How the consignor is paid."""

    method = forms.ChoiceField(label="How", choices=METHODS)
