"""The form over a person: what letters and receipts are addressed to."""

import re

from babel import Locale
from django import forms

from inquiries.people.models import Contact

TWO_LETTERS = re.compile("[A-Z]{2}")
COUNTRIES = {code for code in map(str, Locale("en").territories) if TWO_LETTERS.fullmatch(code)}


class ContactForm(forms.ModelForm):
    """Name, ways to reach them, address, and a private note."""

    class Meta:
        model = Contact
        fields = ["name", "email", "telephone", "address", "country", "note"]
        widgets = {
            "address": forms.Textarea(attrs={"rows": 4}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {"address": "Postal address", "note": "Private note"}
        help_texts = {
            "address": "As on an envelope, a line each. Receipts print it.",
            "note": "Never printed, and never sent.",
        }

    def clean_email(self) -> str:
        """An address that nobody else is known by."""
        email = str(self.cleaned_data["email"])
        if email and Contact.objects.filter(email__iexact=email).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError("Somebody else is known by this e-mail address.", code="e-mail-taken")
        return email

    def clean_country(self) -> str:
        """A code of ISO 3166, in capitals."""
        code = str(self.cleaned_data["country"]).upper()
        if code and code not in COUNTRIES:
            raise forms.ValidationError("This is no country code. Write one such as US.", code="country")
        return code
