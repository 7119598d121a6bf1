"""What somebody seeks, as a form: on the site, where anybody may send it, and at the desk."""

from datetime import date, datetime
from typing import Any

from django import forms

from catalog.models import Configuration, Kind, Maker
from catalog.originality.rules import WORDS, Word
from inquiries.threads.forms import OpenForm
from inquiries.wants.prefill import public_makers, stated_by
from shop.fields import WordsField
from shop.wording import gettext, shipped
from shop.wording import gettext_lazy as _

NOTHING_YET = 0  # a wish is about no instrument that is here
EARLIEST, LATEST = 1700, 2100
STATED = (
    "kind", "maker", "configuration", "made_from", "made_to", "word_at_least", "price_up_to", "until",
)  # fmt: skip
YEAR = {"inputmode": "numeric", "maxlength": "4"}


class Kinds(forms.ModelChoiceField):
    """Kinds by their names in the reader's language."""

    def label_from_instance(self, obj: Kind) -> str:
        """The name."""
        return shipped(obj.name)


class Configurations(forms.ModelChoiceField):
    """Configurations behind the names of their kinds."""

    def label_from_instance(self, obj: Configuration) -> str:
        """“Banjo: Tenor”."""
        return gettext("%(question)s: %(choice)s") % {
            "question": shipped(obj.kind.name),
            "choice": shipped(obj.name),
        }


class StatedForm(forms.Form):
    """What can be matched of a wish. All of it may be left open."""

    kind = Kinds(
        Kind.objects.all(),
        label=_("Kind"),
        required=False,
        empty_label=_("Any"),
    )
    maker = forms.ModelChoiceField(
        Maker.objects.none(), label=_("Maker"), required=False, empty_label=_("Any")
    )
    configuration = Configurations(
        Configuration.objects.select_related("kind").order_by(
            "kind__position", "kind__name", "position", "pk"
        ),
        label=_("Configuration, as it stands or as made"),
        required=False,
        empty_label=_("Any"),
    )
    made_from = forms.IntegerField(
        label=_("Made in or after the year"),
        required=False,
        min_value=EARLIEST,
        max_value=LATEST,
        widget=forms.TextInput(attrs=YEAR),
    )
    made_to = forms.IntegerField(
        label=_("Made in or before the year"),
        required=False,
        min_value=EARLIEST,
        max_value=LATEST,
        widget=forms.TextInput(attrs=YEAR),
    )
    word_at_least = forms.ChoiceField(label=_("Originality at least"), required=False)
    price_up_to = forms.DecimalField(
        label=_("A price up to"),
        required=False,
        min_value=0,
        max_digits=12,
        decimal_places=2,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    until = forms.DateField(
        label=_("Look out for it until"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    today: date
    currency: str

    def offer(self, *, makers: Any, today: date, currency: str) -> None:
        """Say what may be chosen, which day it is, and the shop's money."""
        self.today, self.currency = today, currency
        self.fields["maker"].queryset = makers  # type: ignore[attr-defined]
        words = [(word.value, str(WORDS[word])) for word in Word if word != Word.ASSEMBLED]
        self.fields["word_at_least"].choices = [("", gettext("Any")), *words]  # type: ignore[attr-defined]
        self.fields["price_up_to"].label = gettext("A price up to, in %(currency)s") % {"currency": currency}

    def clean_until(self) -> date | None:
        """A day to come."""
        until: date | None = self.cleaned_data["until"]
        if until is not None and until < self.today:
            raise forms.ValidationError(gettext("This day has gone by."), code="gone-by")
        return until

    def clean(self) -> dict[str, Any]:
        """Years run upwards, and a configuration is one of the kind."""
        values = super().clean() or self.cleaned_data
        first, last = values.get("made_from"), values.get("made_to")
        if first is not None and last is not None and first > last:
            self.add_error(
                "made_to", forms.ValidationError(gettext("This is before the other year."), code="years")
            )
        kind, configuration = values.get("kind"), values.get("configuration")
        if kind and configuration and configuration.kind_id != kind.pk:
            other = forms.ValidationError(
                gettext("This is a configuration of another kind."), code="other-kind"
            )
            self.add_error("configuration", other)
        return values

    @property
    def stated(self) -> dict[str, Any]:
        """What was stated; what was left open is None or empty."""
        return {name: self.cleaned_data[name] for name in self.fields if name in (*STATED, "model")}


class WantForm(OpenForm, StatedForm):
    """What somebody seeks, in their words and in what can be matched, and the choices made in the catalogue.

    Beside a list that found nothing only the words are asked for, and what can be matched follows from the choices;
    on its own page (`whole`) every field stands.
    """

    sought = WordsField(
        label=_("What you seek"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": _("Please write what you seek.")},
    )
    narrowing = forms.CharField(required=False, max_length=600, widget=forms.HiddenInput)
    whole = forms.CharField(required=False, max_length=3, widget=forms.HiddenInput)

    field_order = ("sought", *STATED, "name", "email")

    def __init__(
        self,
        data: Any = None,
        *,
        at: datetime,
        today: date,
        currency: str,
        sought: str = "",
        narrowing: str = "",
        whole: bool = False,
    ) -> None:
        kept = narrowing[:600]
        first = {
            "sought": sought,
            "narrowing": kept,
            **({"whole": "yes", **stated_by(kept)} if whole else {}),
        }
        super().__init__(data, about=NOTHING_YET, at=at, prefix="want", **first)
        self.offer(makers=public_makers(), today=today, currency=currency)

    @property
    def stated(self) -> dict[str, Any]:
        """What was stated; on the short form, what the choices in the catalogue state."""
        if self.cleaned_data["whole"]:
            return super().stated
        return stated_by(self.cleaned_data["narrowing"])

    @property
    def to_match(self) -> list[forms.BoundField]:
        """The fields that can be matched."""
        return [self[name] for name in STATED]
