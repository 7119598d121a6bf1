"""Form fields that read what a dealer types: amounts of money, weights and lengths."""

from decimal import Decimal
from typing import Any

from django import forms

from shop.money import FINEST, Money, UnreadableAmount, parse_amount
from shop.units import Length, Mass, UnreadableMeasure, parse_length, parse_mass


class MoneyField(forms.Field):
    """An amount in one currency; cleaned to a Decimal, or None when it may be left empty.

    `kept` is how many decimals the row has that it goes into.
    """

    def __init__(self, *, currency: str, nought: bool = False, kept: int = FINEST, **options: Any) -> None:
        self.currency, self.nought, self.kept = currency, nought, kept
        options.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}))
        super().__init__(**options)

    def to_python(self, value: Any) -> Decimal | None:
        """Read the amount; below nought, unreadable or (unless `nought`) nothing at all is an error."""
        if value in self.empty_values:
            return None
        try:
            amount = parse_amount(str(value), self.currency, kept=self.kept).amount
        except UnreadableAmount as error:
            raise forms.ValidationError(error.message, code=error.code) from None
        if not amount and not self.nought:
            raise forms.ValidationError("Write an amount above nought.", code="nought")
        return amount

    def prepare_value(self, value: Any) -> Any:
        """An amount as it is typed, what was typed as it was."""
        return f"{Money(value, self.currency).amount:,}" if isinstance(value, Decimal) else value


class MassField(forms.Field):
    """A weight with its unit, such as 14 lb 6 oz; cleaned to a Mass, or None when left empty."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(**options)

    def to_python(self, value: Any) -> Mass | None:
        """Read the weight."""
        if value in self.empty_values:
            return None
        try:
            return parse_mass(str(value))
        except UnreadableMeasure as error:
            raise forms.ValidationError(error.message, code=error.code) from None


class LengthField(forms.Field):
    """A length with its unit, such as 46½ in or 118 cm; cleaned to a Length, or None when left empty."""

    def __init__(self, *, most: Length, **options: Any) -> None:
        self.most = most
        options.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(**options)

    def to_python(self, value: Any) -> Length | None:
        """Read the length; nought, or more than there can be, is an error."""
        if value in self.empty_values:
            return None
        try:
            length = parse_length(str(value))
        except UnreadableMeasure as error:
            raise forms.ValidationError(error.message, code=error.code) from None
        if not length.amount or length.mm > self.most.mm:
            raise forms.ValidationError(
                f"Write a length above nought and up to {self.most}.", code="out-of-range"
            )
        return length
