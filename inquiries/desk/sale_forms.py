"""Forms of a sale. Every one that adds money carries the token that makes one press one row."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django import forms

from inquiries.desk.fields import LengthField, MassField, MoneyField
from inquiries.desk.inquiry_forms import EntryForm
from inquiries.sales.actions import Received
from inquiries.sales.models import LedgerRow
from inquiries.shipping.models import Shipment
from shop.money import Money
from shop.units import Length, Mass

METHODS = [("", "Choose"), *LedgerRow.Method.choices]
PARCEL_FIELDS = [
    "carrier", "service", "declared_value", "tracking", "uncleared_reason",
]  # fmt: skip
SIDES = ("carton_length", "carton_width", "carton_height")
LONGEST = Length(200 * 64, "in64")


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


class ParcelForm(forms.Form):
    """The parcel as it went, or that the buyer took it along."""

    collected = forms.BooleanField(label="Collected in person", required=False)
    carrier = forms.ChoiceField(required=False)
    service = forms.CharField(max_length=60, required=False)
    tracking = forms.CharField(label="Tracking number", max_length=60, required=False)
    carton_length = LengthField(
        label="Carton length", most=LONGEST, required=False, help_text="46½ in, or 118 cm."
    )
    carton_width = LengthField(label="Carton width", most=LONGEST, required=False)
    carton_height = LengthField(label="Carton height", most=LONGEST, required=False)
    weight = MassField(required=False, help_text="Packed, as the scale reads: 14 lb 6 oz, or 6.5 kg.")

    def __init__(
        self, *args: Any, currency: str, carriers: list[str], uncleared: bool, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.fields["carrier"].choices = [("", "Choose"), *((name, name) for name in carriers)]  # type: ignore[attr-defined]
        self.fields["declared_value"] = MoneyField(
            currency=currency, required=False, label=f"Declared value, {currency}"
        )
        reason = forms.CharField(
            label="Why it leaves before the money has cleared", max_length=300, required=False
        )
        if uncleared or self.is_bound:
            self.fields["uncleared_reason"] = reason

    def clean(self) -> dict[str, Any]:
        """A parcel has a carrier; a carton has three sides or none is given. Puts together `shipment`."""
        given = super().clean() or self.cleaned_data
        if not given.get("collected") and not given.get("carrier") and "carrier" not in self.errors:
            self.add_error(
                "carrier",
                forms.ValidationError("Choose the carrier, or mark it as collected.", code="no-carrier"),
            )
        self._check_carton(given)
        if not self.errors:
            given["shipment"] = self._shipment(given)
        return given

    def _check_carton(self, given: dict[str, Any]) -> None:
        missing = [side for side in SIDES if given.get(side) is None and side not in self.errors]
        if len(missing) in {1, 2}:
            message = forms.ValidationError("Give all three sides of the carton, or none.", code="carton")
            self.add_error(missing[0], message)
        other = [side for side in SIDES if given.get(side) and given[side].unit != _unit(given)]
        if other:
            message = forms.ValidationError(
                "Give all three sides in inches, or all in centimetres.", code="two-units"
            )
            self.add_error(other[0], message)

    def typed(self) -> Shipment:
        """What could be read of a bound form, unsaved, whatever else is wrong with it."""
        self.is_valid()
        return self._shipment(dict.fromkeys((*SIDES, "declared_value")) | self.cleaned_data)

    def _shipment(self, given: dict[str, Any]) -> Shipment:
        """The shipment as the deed takes it, unsaved. Of a collected piece only the reason is kept."""
        reason = given.get("uncleared_reason", "")
        if given.get("collected"):
            return Shipment(uncleared_reason=reason)
        weight: Mass | None = given.get("weight")
        amount, unit = weight.stored if weight else (None, "")
        columns = {name: given.get(name, "") for name in PARCEL_FIELDS}
        return Shipment(weight_amount=amount, weight_unit=unit, **_carton(given), **columns)


def _unit(given: dict[str, Any]) -> str:
    """The unit of the first side that could be read."""
    return next((given[side].unit for side in SIDES if given.get(side)), "")


def _carton(given: dict[str, Any]) -> dict[str, Any]:
    """The sides as they are kept: three of one unit, or none."""
    if not all(given.get(side) and given[side].unit == _unit(given) for side in SIDES):
        return {}
    return {side: given[side].amount for side in SIDES} | {"carton_unit": _unit(given)}


class DeliveredForm(forms.Form):
    """When the buyer had it."""

    delivered_at = forms.DateTimeField(
        label="Delivered",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        help_text="Date and time on the clock of the shop. The approval period runs from here.",
    )
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, shipped_at: datetime | None, **options: Any) -> None:
        super().__init__(*args, **options)
        self.shipped_at = shipped_at

    def clean_delivered_at(self) -> datetime:
        """A time is typed to the minute: the minute it was handed over counts as after the handing over."""
        typed: datetime = self.cleaned_data["delivered_at"]
        sent = self.shipped_at
        if sent and typed == sent.replace(second=0, microsecond=0):
            return sent
        return typed


class PayoutForm(forms.Form):
    """How the consignor is paid."""

    method = forms.ChoiceField(label="How", choices=METHODS)
