"""What is said of a maker; what is usual on a model, and what it cost when it was new."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django import forms
from django.db.models import Q
from django.forms.models import inlineformset_factory
from django.http import QueryDict

from catalog.dating.forms import DealerDate
from catalog.desk.forms.formsets import Rows
from catalog.desk.forms.identity import NameField
from catalog.desk.forms.price import AmountField
from catalog.desk.forms.section import lines_field
from catalog.features.models import UsualFeature
from catalog.features.rules import check_value, key_of
from catalog.instruments.maker_actions import change_lists
from catalog.instruments.models import Maker, Measure, Model
from catalog.pricing.models import ListPrice
from shop.money import UnreadableAmount, minor_units
from shop.staff.models import User
from shop.units import UnreadableMeasure

SPARE = 3
FIRST_YEAR, LAST_YEAR = 1700, 2100


class MakerForm(forms.Form):
    """What is said of a maker."""

    town = forms.CharField(label="Town", max_length=120, required=False)
    years = forms.CharField(label="Years of work", max_length=60, required=False, help_text="1885 to 1937.")
    note = lines_field(6, label="Note", help_text="Shown to buyers below the story of a piece.")

    def __init__(self, maker: Maker, data: QueryDict | None) -> None:
        super().__init__(data, initial={name: getattr(maker, name) for name in self.base_fields})


class RenameForm(forms.Form):
    """Another name for a maker or a model; `was` is the name that the page showed."""

    name = NameField("Name", "", "")
    was = forms.CharField(widget=forms.HiddenInput, strip=False)

    def __init__(self, name: str, data: QueryDict | None) -> None:
        super().__init__(data, initial={"name": name, "was": name})
        self.fields["name"].required = True
        del self.fields["name"].widget.attrs["list"]


class MeasureChoice(forms.TypedChoiceField):
    """One of the measures that a row may be compared by; None for words. No question to the database for each row."""

    def __init__(self, measures: dict[str, Measure]) -> None:
        names = {measure.kind_id for measure in measures.values()}
        choices = [
            (key, measure.name if len(names) < 2 else f"{measure.kind}: {measure.name}")
            for key, measure in measures.items()
        ]
        super().__init__(
            label="Compared",
            choices=[("", "In words"), *choices],
            coerce=lambda key: measures[key],
            empty_value=None,
            required=False,
        )

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Keys are compared as they are sent."""
        return str(initial or "") != str(data or "")


class UsualForm(forms.ModelForm):
    """One thing that is usual on a model."""

    when = DealerDate(label="Years", required=False)

    class Meta:
        model = UsualFeature
        fields = ["what", "measure", "value", "when", "source", "page"]

    def clean(self) -> dict[str, Any]:
        """What is compared by measure can be read as one."""
        values = super().clean() or self.cleaned_data
        measure, value = values.get("measure"), values.get("value")
        if measure and value:
            try:
                check_value(value, measure.quantity, measure.choices)
            except UnreadableMeasure as error:
                self.add_error("value", forms.ValidationError(error.message, code=error.code))
        return values


class UsualRows(Rows):
    """What is usual; several values of one thing are alternatives, all compared in one way."""

    def __init__(self, *args: Any, measures: dict[str, Measure], **kwargs: Any) -> None:
        self.measures = measures
        super().__init__(*args, **kwargs)

    def add_fields(self, form: Any, index: int | None) -> None:
        """Short labels; the measures are found once for all rows."""
        super().add_fields(form, index)
        form.fields["measure"] = MeasureChoice(self.measures)
        form.fields["what"].label = "What"
        form.fields["what"].help_text = ""
        form.fields["value"].label = "What is usual"
        form.fields["value"].help_text = ""
        form.order_fields([*UsualForm.Meta.fields, "DELETE"])

    def clean(self) -> None:
        """Refuse a thing that is compared in two ways."""
        super().clean()
        first: dict[str, Measure | None] = {}
        for form in self.forms:
            values = form.cleaned_data if form.is_valid() else {}
            if not values.get("what") or values.get("DELETE"):
                continue
            measure = values.get("measure")
            if first.setdefault(key_of(values["what"]), measure) != measure:
                form.add_error(
                    "measure", "Another row compares the same thing in another way. Choose one way for both."
                )


class ListPriceForm(forms.ModelForm):
    """What the model cost in one year."""

    year = forms.IntegerField(
        label="Year",
        min_value=FIRST_YEAR,
        max_value=LAST_YEAR,
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"), f"Write a year from {FIRST_YEAR} to {LAST_YEAR}."
        ),
    )
    amount = AmountField(currency="USD", label="Price")

    class Meta:
        model = ListPrice
        fields = ["year", "amount", "currency", "what", "source", "page"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        amount = self.fields["amount"]
        assert isinstance(amount, AmountField)  # noqa: S101 - set above
        amount.currency = str(self["currency"].value() or "").strip().upper()
        self.fields["what"].help_text = ""
        self.fields["source"].help_text = ""

    def clean_currency(self) -> str:
        """Three letters of the published list."""
        currency = str(self.cleaned_data["currency"]).strip().upper()
        try:
            minor_units(currency)
        except UnreadableAmount as error:
            raise forms.ValidationError(error.message, code=error.code) from error
        return currency


UsualFormSet = inlineformset_factory(
    Model, UsualFeature, form=UsualForm, formset=UsualRows, fields=UsualForm.Meta.fields, extra=SPARE
)
ListPriceFormSet = inlineformset_factory(
    Model, ListPrice, form=ListPriceForm, formset=Rows, fields=ListPriceForm.Meta.fields, extra=SPARE
)


class ModelSheet:
    """Both lists of a model, kept together."""

    def __init__(self, model: Model, data: QueryDict | None) -> None:
        self.model = model
        measures = {str(measure.pk): measure for measure in _measures(model)}
        self.usual = UsualFormSet(data, instance=model, prefix="usual", measures=measures)
        self.prices = ListPriceFormSet(data, instance=model, prefix="prices")

    def is_valid(self) -> bool:
        """Whether every row of both can be kept; both are looked at, so that every slip is told at once."""
        return all([self.usual.is_valid(), self.prices.is_valid()])

    def keep(self, *, by: User, at: datetime, as_shown: str) -> bool:
        """Add, change and remove rows of both lists; true when something differs."""

        def save() -> None:
            self.usual.save()
            self.prices.save()

        return change_lists(self.model, save, by=by, at=at, as_shown=as_shown)


def _measures(model: Model) -> Iterable[Measure]:
    """Those of the kinds in which the model is in the book, and those in use; all of them while it is in none."""
    known = Measure.objects.select_related("kind").order_by("kind__position", "position", "pk")
    in_use = model.usual.exclude(measure=None).values("measure")
    found = known.filter(Q(kind__instruments__model=model) | Q(pk__in=in_use)).distinct()
    return list(found) or known
