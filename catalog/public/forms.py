"""Narrowing the catalogue: a plain GET form, so that every state of it is an address."""

from collections.abc import Iterator
from itertools import groupby
from typing import Any, cast

from django import forms
from django.http import QueryDict

from catalog.originality.rules import WORDS
from catalog.public.queries import Narrowing, configurations_listed, kinds_listed, makers_listed

AVAILABILITY = [("available", "Available"), ("on-hold", "On hold")]
# Words on originality that have stood in addresses, and what they have become.
RENAMED = {"all-original": "fully-original", "not-examined": "not-fully-examined"}
BANDS = {"price_from": "a price from", "price_to": "a price up to"}
SORTS = [
    ("", "Newest first"),
    ("price-rising", "Price, lowest first"),
    ("price-falling", "Price, highest first"),
]


class CatalogueFilter(forms.Form):
    """What a visitor may choose. Only what is listed now is offered."""

    kind = forms.ChoiceField(required=False)
    maker = forms.ChoiceField(required=False)
    configuration = forms.ChoiceField(label="Configuration, as it stands", required=False)
    originality = forms.ChoiceField(
        required=False, choices=[("", "Any"), *((word.value, says) for word, says in WORDS.items())]
    )
    price_from = forms.DecimalField(required=False, min_value=0, max_digits=12, decimal_places=2)
    price_to = forms.DecimalField(required=False, min_value=0, max_digits=12, decimal_places=2)
    availability = forms.ChoiceField(required=False, choices=[("", "Any"), *AVAILABILITY])
    sort = forms.ChoiceField(label="Order", required=False, choices=SORTS)

    def __init__(self, data: QueryDict, *, currency: str) -> None:
        super().__init__(data, auto_id="narrow_%s")
        self.currency = currency
        self.fields["price_from"].label = f"Price from, {currency}"
        self.fields["price_to"].label = f"to, {currency}"
        _choose(self, "kind", [(kind.slug, kind.plural) for kind in kinds_listed()])
        _choose(self, "maker", sorted({(maker.slug, maker.name) for maker in makers_listed()}))
        _choose(self, "configuration", list(_configurations()))

    def clean(self) -> dict[str, Any]:
        """A price band runs upwards."""
        values = super().clean() or {}
        lowest, highest = values.get("price_from"), values.get("price_to")
        if lowest is not None and highest is not None and lowest > highest:
            self.add_error("price_to", forms.ValidationError("This is below “Price from”.", code="band"))
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

    def _spoken(self, name: str) -> str:
        value = str(self.cleaned_data[name])
        if name in BANDS:
            return f"{BANDS[name]} {value} {self.currency}"
        field = cast(forms.ChoiceField, self.fields[name])
        return f"{self[name].label}: {dict(_flat(field.choices)).get(value, value)}"


def _choose(form: CatalogueFilter, name: str, choices: list[Any]) -> None:
    cast(forms.ChoiceField, form.fields[name]).choices = [("", "Any"), *choices]


def _configurations() -> Iterator[tuple[str, list[tuple[str, str]]]]:
    for kind, rows in groupby(configurations_listed(), key=lambda row: row.kind):
        yield kind.name, [(f"{kind.slug}.{row.slug}", row.name) for row in rows]


def _flat(choices: Any) -> Iterator[tuple[str, str]]:
    for value, label in choices:
        if isinstance(label, (list, tuple)):
            yield from label
        else:
            yield str(value), str(label)
