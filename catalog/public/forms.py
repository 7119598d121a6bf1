"""Narrowing the catalogue: a plain GET form, so that every state of it is an address."""

from typing import Any, cast

from django import forms
from django.http import QueryDict

from catalog.search.narrowing import Narrowing, choices_of
from catalog.search.shelf import Shelf

# Words on originality that have stood in addresses, and what they have become.
RENAMED = {"all-original": "fully-original", "not-examined": "not-fully-examined"}
BANDS = {"price_from": "a price from", "price_to": "a price up to"}
SORTS = [
    ("newest", "Newest first"),
    ("price-rising", "Price, lowest first"),
    ("price-falling", "Price, highest first"),
]
BEST = ("best", "Best match first")
# A line of text, so that what was typed still stands there when it is no amount.
AMOUNT = forms.TextInput(attrs={"inputmode": "decimal"})
UNKNOWN = "“%(value)s” cannot be chosen here now, so the list is as without it."


class CatalogueFilter(forms.Form):
    """What a visitor may choose. Only what is listed now is offered."""

    q = forms.CharField(
        label="Search", max_length=120, required=False, widget=forms.TextInput(attrs={"type": "search"})
    )
    kind = forms.ChoiceField(required=False)
    maker = forms.ChoiceField(required=False)
    configuration = forms.ChoiceField(label="Configuration, as it stands", required=False)
    made_as = forms.ChoiceField(label="Configuration, as made", required=False)
    originality = forms.ChoiceField(required=False)
    decade = forms.ChoiceField(label="Decade of make", required=False)
    price_from = forms.DecimalField(
        label="From", required=False, min_value=0, max_digits=12, decimal_places=2, widget=AMOUNT
    )
    price_to = forms.DecimalField(
        label="Up to", required=False, min_value=0, max_digits=12, decimal_places=2, widget=AMOUNT
    )
    availability = forms.ChoiceField(required=False)
    new = forms.ChoiceField(label="Newly listed", required=False)
    sort = forms.ChoiceField(label="Order", required=False)

    CHOSEN_FROM = (
        "kind",
        "maker",
        "configuration",
        "made_as",
        "originality",
        "decade",
        "availability",
        "new",
    )

    def __init__(self, data: QueryDict, *, shelf: Shelf, currency: str) -> None:
        super().__init__(data, auto_id="narrow_%s")
        self.shelf, self.currency = shelf, currency
        for name in self.CHOSEN_FROM:
            self._offer(name, [(choice.value, choice.says) for choice in choices_of(shelf, name)])
        self._offer("sort", [BEST, *SORTS])
        for name in (*self.CHOSEN_FROM, "sort"):
            self.fields[name].error_messages["invalid_choice"] = UNKNOWN

    def clean(self) -> dict[str, Any]:
        """A price band runs upwards."""
        values = super().clean() or {}
        lowest, highest = values.get("price_from"), values.get("price_to")
        if lowest is not None and highest is not None and lowest > highest:
            self.add_error("price_to", forms.ValidationError("This is below “From”.", code="band"))
        return values

    @property
    def narrowing(self) -> Narrowing:
        """The choices that can be read; one that cannot is told beside its field and chooses nothing."""
        self.is_valid()
        return dict(self.cleaned_data)

    @property
    def chosen(self) -> list[tuple[str, str]]:
        """What narrows the list, in the order of the form: (field, as it is spoken)."""
        values = self.narrowing
        names = [name for name in self.fields if name != "sort" and values.get(name) not in ("", None)]
        return [(name, self._spoken(name)) for name in names]

    @property
    def orders(self) -> list[tuple[str, str]]:
        """The orders that make sense now: by the best match only where something is searched for."""
        return [BEST, *SORTS] if self.narrowing.get("q") else SORTS

    @property
    def order(self) -> str:
        """The order in use."""
        values = self.narrowing
        wanted = str(values.get("sort") or "")
        known = [value for value, _ in self.orders]
        return wanted if wanted in known else known[0]

    def _offer(self, name: str, choices: list[tuple[str, str]]) -> None:
        cast(forms.ChoiceField, self.fields[name]).choices = [("", "Any"), *choices]

    def _spoken(self, name: str) -> str:
        value = str(self.cleaned_data[name])
        if name == "q":
            return value
        if name in BANDS:
            return f"{BANDS[name]} {value} {self.currency}"
        says = next(choice.says for choice in choices_of(self.shelf, name) if choice.value == value)
        return says if name == "new" else f"{self[name].label}: {says}"
