"""The field for a date as a dealer types it, which says at once how it is understood."""

from typing import Any

from django import forms
from django.urls import reverse

from catalog.dating.reading import MadeDate, UnreadableDate, read_date, understood

WIDEST = 80  # characters, as the column beside it keeps them


class Echo:
    """What is said of `typed` beside its field: `words`, with the `edtf` they stand for, or `trouble`, or nothing.

    The form sends `edtf` along under `name`, so that it is known which reading was on the screen.
    """

    def __init__(self, field: str, typed: str) -> None:
        self.name = f"{field}_shown"
        self.words = self.edtf = self.trouble = ""
        if not typed.strip():
            return
        try:
            made = read_date(typed)
        except UnreadableDate as error:
            # Half a date is no mistake of anyone still typing; the whole sentence comes when it is sent.
            unfinished = error.code in ("unreadable", "two-digits")
            self.trouble = "Not a date yet." if unfinished else error.message
        else:
            self.words, self.edtf = understood(made), made.edtf


class EchoedInput(forms.TextInput):
    """A line of text that asks, a moment after the typing stops, how the shop understands it."""

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """The text input with what htmx needs; the answer goes into the echo that stands next to it."""
        asks = {
            "data-hx-get": f"{reverse('date-understood')}?of={name}",
            "data-hx-trigger": "input changed delay:600ms",
            "data-hx-target": "next .field-echo",
            "data-hx-swap": "innerHTML",
            "data-hx-sync": "this:replace",
            "autocomplete": "off",
        }
        return super().get_context(name, value, {**asks, **(attrs or {})})


class DatedField(forms.BoundField):
    """A date within its form: `echo` says how what stands in it is understood."""

    has_echo = True

    @property
    def echo(self) -> Echo:
        """How the text that stands in the field is understood; without words when an error beside it has them."""
        echo = Echo(self.html_name, str(self.value() or ""))
        if self.errors:
            echo.words = echo.trouble = ""
        return echo

    def was_shown(self, made: MadeDate) -> bool:
        """True when `made` was on the screen before it was sent, or is what the record says already.

        A reading that repeats the typed words shows nothing new, so it counts as shown.
        """
        repeats = understood(made).casefold() == " ".join(made.text.split()).casefold()
        kept = not self.field.has_changed(self.initial, made.text)
        return repeats or kept or self.form.data.get(self.echo.name) == made.edtf


class DealerDate(forms.CharField):
    """A date as a dealer types it; cleans to the typed text, and refuses what the shop cannot read."""

    widget = EchoedInput
    bound_field_class = DatedField

    def __init__(self, *, max_length: int = WIDEST, **options: Any) -> None:
        super().__init__(max_length=max_length, **options)

    def validate(self, value: str) -> None:
        """Refuse, with the sentence of the reader and its code, what is no date."""
        super().validate(value)
        if value:
            try:
                read_date(value)
            except UnreadableDate as error:
                raise forms.ValidationError(error.message, code=error.code) from error
