"""Forms over a mail that waits to be sorted: which thread it goes into, or what a new one is about."""

from typing import Any

from django import forms

from catalog.models import Instrument
from inquiries.desk.inquiry_forms import CallForm
from inquiries.threads.models import Inquiry
from shop.fields import WordsField


class JoinForm(forms.Form):
    """Which thread it belongs to."""

    thread = forms.ModelChoiceField(
        Inquiry.objects.all(), error_messages={"required": "Choose the thread that it belongs to."}
    )


class OpenForm(forms.Form):
    """What the new thread is about, and by what name its writer is kept if we do not know the address."""

    name = WordsField(label="Name of the person", max_length=120)
    stock = forms.IntegerField(
        label="Stock number", min_value=1, required=False, help_text="Of the piece they ask about."
    )
    matter = forms.CharField(
        label="Another matter",
        max_length=200,
        required=False,
        help_text="What it is about, if it is about none of our pieces.",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"auto_id": "open_%s", **options})

    def clean_matter(self) -> str:
        """One line."""
        return " ".join(str(self.cleaned_data["matter"]).split())

    def clean_stock(self) -> Instrument | None:
        """The instrument under that number."""
        return CallForm.clean_stock(self)  # type: ignore[arg-type]

    def clean(self) -> dict[str, Any]:
        """It is about a piece, or else about another matter."""
        given = super().clean() or self.cleaned_data
        if not self.errors and not given.get("stock") and not given.get("matter"):
            raise forms.ValidationError(
                "Write the stock number of the piece, or the other matter that it is about.",
                code="about-what",
            )
        return given
