"""The form of the shop's profile."""

from zoneinfo import available_timezones

from babel.numbers import is_currency
from django import forms

from shop.profile.models import ShopProfile


class ProfileForm(forms.ModelForm):
    """Everything the shop says of itself, and the terms it works by."""

    class Meta:
        model = ShopProfile
        exclude = ["id"]  # noqa: DJ006
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "about": forms.Textarea(attrs={"rows": 8}),
            "terms": forms.Textarea(attrs={"rows": 12}),
            "carriers": forms.Textarea(attrs={"rows": 4}),
        }

    def clean_currency(self) -> str:
        """A code of ISO 4217, in capitals."""
        code = str(self.cleaned_data["currency"]).upper()
        if not is_currency(code):
            raise forms.ValidationError("This is no currency code. Write one such as USD.", code="currency")
        return code

    def clean_time_zone(self) -> str:
        """A zone of the IANA list."""
        zone = str(self.cleaned_data["time_zone"])
        if zone not in available_timezones():
            raise forms.ValidationError(
                "This is no time zone. Write one such as America/New_York.", code="time-zone"
            )
        return zone
