"""Answers to questioned claims, and the owner’s list of claim words."""

import re
from typing import Any

from django import forms
from django.forms.models import BaseModelFormSet, modelformset_factory
from django.http import QueryDict

from catalog.claims.models import ClaimAnswer, ClaimWord
from catalog.claims.placeholders import PLACEHOLDERS
from catalog.claims.queries import Reading

How = ClaimAnswer.How
SPARE = 3


class AnswerForm(forms.Form):
    """Why one questioned claim may stand. Where the record says otherwise, a source is no answer."""

    claim = forms.CharField(max_length=30, widget=forms.HiddenInput)
    sentence = forms.CharField(widget=forms.HiddenInput, strip=False)
    how = forms.ChoiceField(label="Answer")
    reason = forms.CharField(
        label="Reason",
        max_length=300,
        help_text="Which source, with its page; or why these words claim no such thing. Kept with your name.",
    )

    def __init__(self, reading: Reading, data: QueryDict | None = None) -> None:
        initial = {"claim": reading.found.key, "sentence": reading.found.sentence}
        super().__init__(data, initial=initial, auto_id=f"id_{reading.place}_%s")
        choices = [How.FALSE_ALARM] if reading.contradicted else [How.SOURCE, How.FALSE_ALARM]
        how = self.fields["how"]
        assert isinstance(how, forms.ChoiceField)  # noqa: S101 - a programmer's slip, not a reader's
        how.choices = [(choice.value, choice.label) for choice in choices]

    def clean_sentence(self) -> str:
        """The sentence with the line ends of the record: browsers send two characters."""
        return plain(self.cleaned_data["sentence"])


def plain(text: str) -> str:
    """With the line ends of the record."""
    return text.replace("\r\n", "\n")


class WordRows(BaseModelFormSet):
    """The words of one claim: none twice, and no placeholder that nothing knows."""

    claim: str = ""

    def add_fields(self, form: Any, index: int | None) -> None:
        """Name the tick as the desk does."""
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "Remove"

    def clean(self) -> None:
        """Refuse what stands twice, what is not known in braces, and what would be found everywhere."""
        seen: set[str] = set()
        for form in self.forms:
            if form in self.deleted_forms or not (words := form.cleaned_data.get("words")):
                continue
            if trouble := _trouble(words):
                form.add_error("words", trouble)
            elif words.lower() in seen:
                form.add_error("words", f"“{words}” stands in the list twice.")
            seen.add(words.lower())

    def save_new(self, form: Any, commit: bool = True) -> Any:
        """Keep a new row under this claim."""
        form.instance.claim = self.claim
        return super().save_new(form, commit)


def _trouble(words: str) -> str:
    unknown = [name for name in re.findall(r"\{[^}]*\}?", words) if name not in PLACEHOLDERS]
    if unknown:
        return f"“{unknown[0]}” stands for nothing. Known are: {', '.join(PLACEHOLDERS)}."
    if not re.search(r"\w", re.sub(r"\{[^}]*\}", "", words)):
        return "Write at least one word of your own beside what stands in braces."
    return ""


WordFormSet: Any = modelformset_factory(
    ClaimWord, formset=WordRows, fields=["words"], help_texts={"words": ""}, extra=SPARE, can_delete=True
)


def word_rows(claim: str, data: QueryDict | None) -> WordRows:
    """The words of one claim with spare rows."""
    rows: WordRows = WordFormSet(data, queryset=ClaimWord.objects.filter(claim=claim), prefix="words")
    rows.claim = claim
    return rows
