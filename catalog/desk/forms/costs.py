"""Costs and seller: the owner's."""

import uuid
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from catalog.desk.forms.price import AmountField
from catalog.desk.forms.section import lines_field
from catalog.instruments.models import Instrument
from catalog.pricing.models import Acquisition, Cost

How = Acquisition.How


def day_field(label: str, help_text: str = "") -> forms.DateField:
    """A day of the calendar."""
    return forms.DateField(
        label=label, help_text=help_text, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )


class AcquisitionForm(forms.Form):
    """How the instrument came to the shop."""

    how = forms.ChoiceField(label="How", choices=How.choices)
    seller = forms.CharField(label="Seller or consignor", max_length=120)
    seller_contact = lines_field(3, label="How to reach them", help_text="")
    on = day_field("Date", "The day it came into the shop’s hands.")
    commission_percent = forms.DecimalField(
        label="Commission, per cent",
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(100),
        decimal_places=2,
        help_text="For a consigned piece: the share of the price that is yours, while no agreement says otherwise.",
    )
    invoice_number = forms.CharField(
        label="Number of the seller’s invoice",
        max_length=60,
        required=False,
        help_text="For the stock book. Leave it empty where the seller wrote none.",
    )
    vat_charged = forms.BooleanField(
        label="The seller charged VAT on it",
        required=False,
        help_text="Then it cannot be sold under the margin scheme; normal VAT is due on its price.",
    )
    note = lines_field(3, label="Note", help_text="")

    def __init__(self, instrument: Instrument, data: QueryDict | None) -> None:
        known = Acquisition.objects.filter(instrument=instrument).first()
        names = list(self.base_fields)
        initial = {name: getattr(known, name) for name in names} if known else {}
        super().__init__(data, initial=initial, prefix="acquisition")

    def clean(self) -> dict[str, Any]:
        """A consigned piece has a commission and was not bought with VAT; a bought one has no commission."""
        values = self.cleaned_data
        consigned, share = values.get("how") == How.CONSIGNED, values.get("commission_percent")
        if consigned and share is None and "commission_percent" not in self.errors:
            self.add_error("commission_percent", "A consigned piece has a commission. Write its per cent.")
        if values.get("how") == How.BOUGHT and share is not None:
            self.add_error("commission_percent", "A bought piece has no commission. Leave this empty.")
        if consigned and values.get("vat_charged"):
            self.add_error("vat_charged", "A consigned piece is not bought. Leave this empty.")
        return values


class CostForm(forms.Form):
    """One cost row to add. `entry` names the press of the form, so that two presses are one row."""

    entry = forms.UUIDField(widget=forms.HiddenInput)
    kind = forms.ChoiceField(label="What for", choices=Cost.Kind.choices)
    on = day_field("Date")
    note = forms.CharField(label="Note", max_length=200, required=False)
    takes_back = forms.BooleanField(
        label="This row takes back an earlier one",
        required=False,
        help_text="For a slip of the pen: the amount is subtracted.",
    )
    field_order = ["entry", "kind", "amount", "on", "note", "takes_back"]

    def __init__(self, instrument: Instrument, data: QueryDict | None, *, today: date) -> None:
        super().__init__(data, initial={"entry": uuid.uuid4(), "on": today}, prefix="cost")
        self.fields["amount"] = AmountField(
            currency=instrument.currency, label=f"Amount in {instrument.currency}"
        )
        self.order_fields(self.field_order)

    @property
    def amount(self) -> Decimal:
        """The amount as the row keeps it: below nought when it takes an earlier row back."""
        amount: Decimal = self.cleaned_data["amount"]
        return -amount if self.cleaned_data["takes_back"] else amount
