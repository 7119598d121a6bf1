"""A limit of cash, as the owner writes it down."""

from django import forms

from inquiries.cash.models import CashLimit, CashReport
from inquiries.tax.forms import day, two_letters
from shop.money import UnreadableAmount, minor_units


class LimitForm(forms.ModelForm):
    """One limit."""

    starts = day("From")
    read_on = day("Read on")

    class Meta:
        model = CashLimit
        fields = (
            "country",
            "starts",
            "amount",
            "currency",
            "check_face",
            "months",
            "due_days",
            "checks_at_any_price",
            "source",
            "read_on",
        )

    def clean_country(self) -> str:
        """Two letters."""
        return two_letters(self.cleaned_data["country"])

    def clean_currency(self) -> str:
        """Three letters of the published list."""
        currency = str(self.cleaned_data["currency"]).upper()
        try:
            minor_units(currency)
        except UnreadableAmount as error:
            raise forms.ValidationError(error.message, code=error.code) from error
        return currency


class ReportForm(forms.ModelForm):
    """That a report was filed: on which day, and under which number or how."""

    filed_on = day("Filed on")

    class Meta:
        model = CashReport
        fields = ("filed_on", "note")
