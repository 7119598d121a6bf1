"""The form of the shop's profile."""

import re
from collections.abc import Iterator
from zoneinfo import available_timezones

from django import forms

from shop.money import UnreadableAmount, minor_units
from shop.profile.models import ShopProfile

PARTS = {
    "The shop": ["name", "tagline", "owner_name", "about"],
    "How to reach it": ["address", "country", "telephone", "email", "hours"],
    "Terms": ["terms", "guarantee"],
    "First calls": ["first_call_hours", "first_call_in_turn"],
    "Parcels": ["carriers"],
    "Money, dates and the month": ["currency", "tax_number", "time_zone", "standing_days", "sold_prices"],
}


class ProfileForm(forms.ModelForm):
    """Everything the shop says of itself, and the terms it works by."""

    class Meta:
        model = ShopProfile
        exclude = ["id"]  # noqa: DJ006
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "about": forms.Textarea(attrs={"rows": 8}),
            "terms": forms.Textarea(attrs={"rows": 12}),
            "guarantee": forms.Textarea(attrs={"rows": 6}),
            "carriers": forms.Textarea(attrs={"rows": 4}),
        }
        labels = {"owner_name": "Name of the owner"}
        help_texts = {
            "owner_name": "Signs the letters that go out by themselves.",
            "address": "As on an envelope, a line each. Receipts print it.",
        }

    def parts(self) -> Iterator[tuple[str, list[forms.BoundField]]]:
        """The legend of each part, with its fields in order."""
        for legend, names in PARTS.items():
            yield legend, [self[name] for name in names]

    def clean_country(self) -> str:
        """Two letters, in capitals."""
        code = str(self.cleaned_data["country"]).upper()
        if not re.fullmatch("[A-Z]{2}", code):
            raise forms.ValidationError("This is not two letters. Write them as in US.", code="country")
        return code

    def clean_currency(self) -> str:
        """A code of ISO 4217, in capitals, whose minor units a ledger can keep."""
        code = str(self.cleaned_data["currency"]).upper()
        try:
            minor_units(code)
        except UnreadableAmount as error:
            raise forms.ValidationError(error.message, code="currency") from None
        return code

    def clean_time_zone(self) -> str:
        """A zone of the IANA list."""
        zone = str(self.cleaned_data["time_zone"])
        if zone not in available_timezones():
            raise forms.ValidationError(
                "This is no time zone. Write one such as America/New_York.", code="time-zone"
            )
        return zone
