"""What may be typed into a line of the speaker's sheet."""

from django import forms

from catalog.desk.forms.section import PlainLines
from catalog.speaking.rules import MOST, Spoken, tidied


class WordsForm(forms.Form):
    """Own words for one line, with what the record gave when the page was opened."""

    def __init__(self, spoken: Spoken, data: object = None) -> None:
        key = spoken.line.key
        self.most = MOST[key]
        initial = {"words": spoken.words, "from_record": spoken.line.words}
        super().__init__(data, initial=initial, auto_id=f"id_{key}_%s")  # type: ignore[arg-type]
        self.fields["words"] = PlainLines(
            required=False,
            label=f"In your words: {spoken.line.label}",
            help_text=f"At most {self.most} characters, so that the sheet stays on one page. "
            "Empty: as the record gives it.",
            widget=forms.Textarea(attrs={"rows": 3}),
        )
        self.fields["from_record"] = forms.CharField(required=False, widget=forms.HiddenInput)

    def clean_words(self) -> str:
        """The words on one line; refused when they are too many to be read out on one page."""
        words = tidied(self.cleaned_data["words"])
        if len(words) > self.most:
            raise forms.ValidationError(
                f"These are {len(words)} characters; {self.most} fit. Keep what you would say in one breath.",
                code="too-long",
            )
        return words
