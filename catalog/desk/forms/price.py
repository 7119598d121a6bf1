"""The asking price, and for the owner the floor."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict

from catalog.instruments.actions import change_record
from catalog.instruments.models import Instrument
from shop.money import UnreadableAmount, minor_units, parse_amount
from shop.staff.models import User

KEPT = 2  # decimals that a record keeps


class AmountField(forms.CharField):
    """An amount above nought in `currency`, as a dealer types it; None for nothing typed."""

    def __init__(self, *, currency: str, **kwargs: Any) -> None:
        super().__init__(max_length=40, **kwargs)
        self.currency = currency
        self.widget.attrs["inputmode"] = "decimal"

    def clean(self, value: Any) -> Decimal | None:
        """The amount; a sentence when it cannot be read."""
        text = super().clean(value)
        if not text:
            return None
        try:
            amount = parse_amount(text, self.currency, kept=KEPT).amount
        except UnreadableAmount as error:
            raise forms.ValidationError(error.message, code=error.code) from error
        if not amount:
            raise forms.ValidationError("Write an amount above nought.", code="range")
        return amount

    def prepare_value(self, value: Any) -> Any:
        """An amount as it is typed: 12,500 or 12,500.50."""
        if not isinstance(value, Decimal):
            return value
        digits = 0 if value == value.to_integral_value() else minor_units(self.currency)
        return f"{value:,.{digits}f}"


class PriceForm(forms.Form):
    """The asking price, or on request; the floor only when `user` is the owner."""

    template = "desk/stock/section.html"

    def __init__(self, instrument: Instrument, data: QueryDict | None, user: User) -> None:
        self.instrument = instrument
        columns = ["asking_price", "price_on_request"] + ["floor_price"] * user.is_owner
        super().__init__(data, initial={name: getattr(instrument, name) for name in columns})
        self.fields["asking_price"] = AmountField(
            currency=instrument.currency, required=False, help_text=f"In {instrument.currency}, as in 12,500."
        )
        self.fields["price_on_request"] = forms.BooleanField(
            required=False, help_text="The page then says so in place of a price."
        )
        if user.is_owner:
            self.fields["floor_price"] = AmountField(
                currency=instrument.currency,
                required=False,
                label="Floor",
                help_text="The least you would take. Only the owner sees it.",
            )

    def clean(self) -> dict[str, Any]:
        """A price or on request, not both; a listed piece keeps one of them; no floor above the price."""
        values = self.cleaned_data
        price, floor = values.get("asking_price"), values.get("floor_price")
        if price and values.get("price_on_request"):
            self.add_error("price_on_request", "Either name a price or say “on request”, not both.")
        listed = self.instrument.state == Instrument.State.LISTED
        if listed and not self.errors and not price and not values.get("price_on_request"):
            self.add_error("asking_price", "This piece is listed: name a price, or say “on request”.")
        if price and floor and floor > price:
            self.add_error("floor_price", "The floor is above the asking price.")
        return values

    def keep(self, *, by: User, at: datetime, revision: int | None) -> list[str]:
        """Change the record; the names of what differs."""
        return change_record(self.instrument, self.cleaned_data, by=by, at=at, revision=revision)
