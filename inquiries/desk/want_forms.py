"""Forms of the desk over wishes and first calls."""

from datetime import date
from typing import Any

from django import forms

from catalog.models import Maker, Model
from inquiries.desk.inquiry_forms import WORDS, CallerForm
from inquiries.wants.call_actions import LONGEST
from inquiries.wants.call_letters import FIELDS
from inquiries.wants.forms import STATED, StatedForm
from shop.fields import WordsField

BRACES = "; ".join(f"{{{name}}} becomes {what}" for name, what in FIELDS.items())
LETTER_HELP = f"{BRACES}. Below it stands the address at which they can end such mail."


class PersonWantForm(StatedForm):
    """What somebody told us they seek, who is known already."""

    model = forms.ModelChoiceField(
        Model.objects.select_related("maker").order_by("maker__name", "name"),
        required=False,
        empty_label="Any",
    )
    sought = WordsField(label="What they seek", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}))
    field_order = ("name", "email", "telephone", "sought", *STATED[:2], "model", *STATED[2:])

    def __init__(self, data: Any, *, today: date, currency: str) -> None:
        super().__init__(data)
        self.offer(makers=Maker.objects.order_by("name"), today=today, currency=currency)

    def clean(self) -> dict[str, Any]:
        """A model is one of the maker's, and says who that is."""
        values = super().clean()
        model, maker = values.get("model"), values.get("maker")
        if model and maker and model.maker_id != maker.pk:
            self.add_error("model", forms.ValidationError("This is another maker’s model.", code="model"))
        elif model:
            values["maker"] = model.maker
        return values


class CallerWantForm(PersonWantForm, CallerForm):
    """What a caller told us they seek, and how to reach them."""


class LetterForm(forms.Form):
    """The letter that goes to somebody who seeks such a piece."""

    letter = forms.CharField(max_length=20_000, widget=WORDS, help_text=LETTER_HELP)


class FirstCallForm(LetterForm):
    """How a first call is held, and the letter."""

    hours = forms.IntegerField(label="Hours for each person", min_value=1, max_value=LONGEST)
    one_at_a_time = forms.ChoiceField(
        label="Who is told",
        choices=[("yes", "One person at a time, in order"), ("no", "Everybody at once")],
        widget=forms.RadioSelect,
    )
    field_order = ("hours", "one_at_a_time", "letter")
