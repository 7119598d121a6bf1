"""Forms over what goes into a reply: a saved phrase, a private picture link."""

from typing import Any

from django import forms

from catalog.models import Photograph
from inquiries.answering.actions import MOST_DAYS, USUAL_DAYS
from inquiries.answering.models import SavedPhrase
from inquiries.answering.phrases import unknown_field
from inquiries.desk.inquiry_forms import EntryForm

REPLY = "answer-form"  # the form that everything beside a reply is sent with, so that nothing typed is lost


class PhraseForm(forms.ModelForm):  # type: ignore[type-arg]
    """A saved phrase with its fields in braces."""

    class Meta:
        model = SavedPhrase
        fields = ["title", "text"]
        widgets = {"text": forms.Textarea(attrs={"rows": 8})}

    def clean_text(self) -> str:
        """Refuse a field that there is none of, by its name."""
        text = str(self.cleaned_data["text"]).replace("\r\n", "\n")
        if unknown := unknown_field(text):
            raise forms.ValidationError(unknown.message, code="unknown-field")
        return text


class Shots(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    """Photographs of the piece, by what they show."""

    def label_from_instance(self, obj: Photograph) -> str:
        """Its view with its caption."""
        return obj.alt


class LinkForm(EntryForm):
    """Which photographs, and for how long. Its fields are sent with the reply."""

    photographs = Shots(
        Photograph.objects.none(),
        widget=forms.CheckboxSelectMultiple(attrs={"form": REPLY}),
        error_messages={"required": "Choose at least one photograph."},
    )
    days = forms.IntegerField(
        label="Good for how many days",
        min_value=1,
        max_value=MOST_DAYS,
        initial=USUAL_DAYS,
        widget=forms.NumberInput(attrs={"form": REPLY}),
    )

    def __init__(self, instrument: Any, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"prefix": "link", "auto_id": "id_%s", **options})
        shots = self.fields["photographs"]
        assert isinstance(shots, Shots)  # noqa: S101 - a programmer's slip, not a reader's
        shots.queryset = Photograph.objects.filter(instrument=instrument).ready().select_related("view")
        self.fields["entry"].widget.attrs["form"] = REPLY
