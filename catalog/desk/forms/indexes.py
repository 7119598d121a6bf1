"""Load a price index: as a file, or typed."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from catalog.desk.forms.section import lines_field
from catalog.pricing.rules import UnreadableFigures, read_figures
from shop.money import UnreadableAmount, minor_units

LARGEST = 200_000  # bytes: some thousand years


class IndexForm(forms.Form):
    """A price index with its figures, whole or not at all. `cleaned_data["figures"]` is by year."""

    name = forms.CharField(
        max_length=120, help_text="A name that is there already gets these figures in place of its own."
    )
    currency = forms.CharField(max_length=3, min_length=3, help_text="Three letters: USD, GBP.")
    source = forms.CharField(
        max_length=300, help_text="Who publishes it, which series, and what it is 100 of. Shown to buyers."
    )
    file = forms.FileField(
        label="File of figures",
        required=False,
        help_text="Lines of year and value: 1927,17.4 or 1927;17,4.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,text/csv,text/plain"}),
    )
    lines = lines_field(8, label="Or the figures here", help_text="")

    def clean_name(self) -> str:
        """The name with single spaces."""
        return " ".join(str(self.cleaned_data["name"]).split())

    def clean_currency(self) -> str:
        """Three letters of the published list."""
        currency = str(self.cleaned_data["currency"]).upper()
        try:
            minor_units(currency)
        except UnreadableAmount as error:
            raise forms.ValidationError(error.message, code=error.code) from error
        return currency

    def clean(self) -> dict[str, Any]:
        """Figures come from one place, and every line can be read."""
        values = self.cleaned_data
        file, lines = values.get("file"), values.get("lines", "").strip()
        if bool(file) == bool(lines):
            which = "not both" if file else "one of the two"
            self.add_error("lines", f"Choose a file of figures or write the figures here: {which}.")
            return values
        field = "file" if file else "lines"
        try:
            values["figures"] = _figures(file) if file else read_figures(lines)
        except UnreadableFigures as error:
            self.add_error(field, [forms.ValidationError(says, code="figures") for says in error.messages])
        return values


def _figures(file: UploadedFile) -> dict[int, Decimal]:
    if (file.size or 0) > LARGEST:
        raise UnreadableFigures(["The file is larger than any list of years. Choose another."])
    try:
        text = file.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UnreadableFigures(
            ["The file is no plain text. Save it as CSV (UTF-8), and choose it again."]
        ) from None
    return read_figures(text)
