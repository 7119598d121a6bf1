"""Narrowing the catalogue: a plain GET form, so that every state of it is an address."""

from collections.abc import Sequence
from typing import Any, cast

from django import forms
from django.http import QueryDict

from catalog.search.narrowing import Narrowing, choices_of
from catalog.search.shelf import Shelf
from shop.wording import gettext as _
from shop.wording import gettext_lazy, number

# Words on originality that have stood in addresses, and what they have become.
RENAMED = {"all-original": "fully-original", "not-examined": "not-fully-examined"}
BANDS = {
    "price_from": gettext_lazy("a price from %(amount)s %(currency)s"),
    "price_to": gettext_lazy("a price up to %(amount)s %(currency)s"),
}
SORTS: list[tuple[str, Any]] = [
    ("newest", gettext_lazy("Newest first")),
    ("price-rising", gettext_lazy("Price, lowest first")),
    ("price-falling", gettext_lazy("Price, highest first")),
]
BEST = ("best", gettext_lazy("Best match first"))
# A line of text, so that what was typed still stands there when it is no amount.
AMOUNT = forms.TextInput(attrs={"inputmode": "decimal"})
UNKNOWN = gettext_lazy("“%(value)s” cannot be chosen here now, so the list is as without it.")


class CatalogueFilter(forms.Form):
    """What a visitor may choose. Only what is listed now is offered."""

    q = forms.CharField(
        label=gettext_lazy("Search"),
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    kind = forms.ChoiceField(label=gettext_lazy("Kind"), required=False)
    maker = forms.ChoiceField(label=gettext_lazy("Maker"), required=False)
    configuration = forms.ChoiceField(label=gettext_lazy("Configuration, as it stands"), required=False)
    made_as = forms.ChoiceField(label=gettext_lazy("Configuration, as made"), required=False)
    originality = forms.ChoiceField(label=gettext_lazy("Originality"), required=False)
    decade = forms.ChoiceField(label=gettext_lazy("Decade of make"), required=False)
    price_from = forms.DecimalField(
        label=gettext_lazy("From"),
        required=False,
        min_value=0,
        max_digits=12,
        decimal_places=2,
        widget=AMOUNT,
    )
    price_to = forms.DecimalField(
        label=gettext_lazy("Up to"),
        required=False,
        min_value=0,
        max_digits=12,
        decimal_places=2,
        widget=AMOUNT,
    )
    availability = forms.ChoiceField(label=gettext_lazy("Availability"), required=False)
    new = forms.ChoiceField(label=gettext_lazy("Newly listed"), required=False)
    sort = forms.ChoiceField(label=gettext_lazy("Order"), required=False)

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
            self.add_error("price_to", forms.ValidationError(_("This is below “From”."), code="band"))
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
        orders = [BEST, *SORTS] if self.narrowing.get("q") else SORTS
        return [(value, str(says)) for value, says in orders]

    @property
    def order(self) -> str:
        """The order in use."""
        values = self.narrowing
        wanted = str(values.get("sort") or "")
        known = [value for value, _ in self.orders]
        return wanted if wanted in known else known[0]

    def _offer(self, name: str, choices: Sequence[tuple[str, Any]]) -> None:
        cast(forms.ChoiceField, self.fields[name]).choices = [("", _("Any")), *choices]

    def _spoken(self, name: str) -> str:
        value = str(self.cleaned_data[name])
        if name == "q":
            return value
        if name in BANDS:
            return BANDS[name] % {"amount": number(value), "currency": self.currency}
        says = next(choice.says for choice in choices_of(self.shelf, name) if choice.value == value)
        return (
            says
            if name == "new"
            else _("%(question)s: %(choice)s") % {"question": self[name].label, "choice": says}
        )
