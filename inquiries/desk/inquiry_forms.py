"""Forms over a thread: answer by mail, note what was said, take in a caller's question."""

import uuid
from typing import Any

from django import forms

from catalog.desk.forms.costs import day_field
from catalog.models import Instrument
from inquiries.threads.models import Message
from shop.fields import WordsField

NOTED = [Message.Channel.TELEPHONE, Message.Channel.VISIT, Message.Channel.LETTER, Message.Channel.MAIL]
CHANNELS = [(channel.value, channel.label) for channel in NOTED]
WORDS = forms.Textarea(attrs={"rows": 8})


def new_entry() -> str:
    """A token that makes one press of one form one row."""
    return uuid.uuid4().hex


class EntryForm(forms.Form):
    """A form whose second press is the first one again."""

    entry = forms.RegexField("^[0-9a-f]{32}$", widget=forms.HiddenInput, initial=new_entry)


class AnswerForm(EntryForm):
    """An answer by mail."""

    text = forms.CharField(
        label="Your answer", max_length=20_000, widget=WORDS, help_text="It goes out by e-mail at once."
    )


class NoteForm(EntryForm):
    """Something said by telephone, on a visit, by letter."""

    said_by = forms.ChoiceField(
        label="Who said it", choices=[("theirs", "They did"), ("ours", "We did")], widget=forms.RadioSelect
    )
    channel = forms.ChoiceField(label="How", choices=CHANNELS)
    text = forms.CharField(label="What was said", max_length=20_000, widget=forms.Textarea(attrs={"rows": 4}))

    def __init__(self, *args: Any, **options: Any) -> None:
        # It stands on one page with the answer, and an id is given once to a page.
        super().__init__(*args, **{"auto_id": "note_%s", **options})


class FollowUpForm(forms.Form):
    """The day on which a thread is to be looked at again, and why."""

    on = day_field("Day")
    note = forms.CharField(label="Why", max_length=200, required=False)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"auto_id": "follow_up_%s", **options})


class CallerForm(forms.Form):
    """Who calls: a name, and a way to reach them."""

    name = WordsField(max_length=120)
    email = forms.EmailField(label="E-mail", required=False)
    telephone = forms.CharField(max_length=40, required=False)

    def clean(self) -> dict[str, Any]:
        """An address or a number is needed, or nobody can be told anything."""
        given = super().clean() or self.cleaned_data
        if not self.errors and not given.get("email") and not given.get("telephone"):
            raise forms.ValidationError(
                "Write an e-mail address or a telephone number, so that they can be reached.",
                code="no-way-to-reach",
            )
        return given


class CallForm(EntryForm, CallerForm):
    """A question that came in by telephone, letter or in the shop."""

    stock = forms.IntegerField(
        label="Stock number", min_value=1, required=False, help_text="Of the piece they ask about."
    )
    matter = forms.CharField(
        label="Another matter",
        max_length=200,
        required=False,
        help_text="What it is about, if it is about none of our pieces.",
    )
    channel = forms.ChoiceField(label="How it came", choices=CHANNELS)
    text = forms.CharField(label="What they asked", max_length=20_000, widget=WORDS)
    field_order = ["name", "email", "telephone", "stock", "matter", "channel", "text", "entry"]

    def clean_matter(self) -> str:
        """One line."""
        return " ".join(str(self.cleaned_data["matter"]).split())

    def clean(self) -> dict[str, Any]:
        """It is about a piece or about another matter."""
        given = super().clean()
        if not self.errors and bool(given.get("stock")) == bool(given.get("matter")):
            raise forms.ValidationError(
                "Write the stock number of the piece, or the other matter that it is about; one of the two.",
                code="about-what",
            )
        return given

    def clean_stock(self) -> Instrument | None:
        """The instrument under that number."""
        if not self.cleaned_data["stock"]:
            return None
        found = Instrument.objects.named().filter(stock=self.cleaned_data["stock"]).first()
        if found is None:
            raise forms.ValidationError(
                "No instrument has this number. Look it up in the stock list.", code="no-such-number"
            )
        return found
