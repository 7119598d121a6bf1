"""Forms that make papers. What is typed here stands on the paper and nowhere else."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from inquiries.borders.rules import Line
from inquiries.desk.fields import MoneyField
from inquiries.desk.inquiry_forms import EntryForm
from inquiries.papers.content_customs import CODE, INSTRUMENT, not_among
from inquiries.people.places import countries, country_name

REASONS = [
    ("Sale", "Sale"),
    ("Sale on approval", "Sale on approval"),
    ("Return after repair", "Return after repair"),
]

GOODS = [
    (INSTRUMENT, "Instrument"),
    ("electric", "Electric instrument"),
    ("fretted-parts", "Part or accessory of an instrument"),
    ("electric-parts", "Part or accessory of an electric instrument"),
]


class PaperForm(EntryForm):
    """One press for one paper. A new version names the one that it takes the place of, and says why."""

    cancels = forms.IntegerField(widget=forms.HiddenInput, required=False)
    reason = forms.CharField(
        label="Why it is made anew", max_length=200, required=False, help_text="The new version says so."
    )

    def __init__(self, data: Any = None, *, version: int | None = None, **options: Any) -> None:
        super().__init__(data, initial={"cancels": version}, **options)
        if version is None:
            del self.fields["reason"]
        else:
            self.fields["reason"].required = True

    def given(self) -> dict[str, Any]:
        """What was typed for the paper itself."""
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name not in {"entry", "cancels", "reason"}
        }


class CustomsForm(PaperForm):
    """Why it crosses the border, what it is and where it was made, and its code where the rules leave more than one."""

    def __init__(self, data: Any = None, *, codes: Iterable[Line] = (), **options: Any) -> None:
        super().__init__(data, **options)
        self.fields["export"] = forms.ChoiceField(label="Why it goes", choices=REASONS)
        self.fields["origin"] = forms.ChoiceField(
            label="Country where it was made",
            required=False,
            choices=[("", "Not known"), *countries().items()],
        )
        self.fields["goods"] = forms.ChoiceField(label="Kind of goods", choices=GOODS, initial=INSTRUMENT)
        named = [(line.law.removeprefix(CODE), line.says) for line in codes]
        self.codes = [code for code, _ in named]
        if len(named) > 1:
            self.fields["code"] = forms.ChoiceField(
                label="Customs code",
                choices=[("", "Choose"), *((code, f"{code}: {says}") for code, says in named)],
                error_messages={
                    "required": "By its date of make more than one code may be right. "
                    "Ask the authority, and choose the code here.",
                    "invalid_choice": not_among("%(value)s", " or ".join(self.codes)),
                },
            )

    def clean(self) -> dict[str, Any]:
        """A code chosen for other goods is refused, where these have one alone and it is not asked for."""
        given = super().clean() or self.cleaned_data
        chosen = self.data.get(self.add_prefix("code"), "")
        if "code" not in self.fields and self.codes and chosen and chosen not in self.codes:
            self.add_error("goods", not_among(chosen, " or ".join(self.codes)))
        return given

    def given(self) -> dict[str, Any]:
        """The country by its name."""
        typed = super().given()
        origin = country_name(typed["origin"]) if typed["origin"] else ""
        return {
            "reason": typed["export"],
            "origin": origin,
            "goods": typed["goods"],
            "code": typed.get("code", ""),
        }


class QuotationForm(PaperForm):
    """What it would cost this person, and until when."""

    field_order = ["price", "shipping", "until", "word", "reason"]

    def __init__(
        self, data: Any = None, *, currency: str, price: Decimal | None, until: date, **options: Any
    ) -> None:
        super().__init__(data, **options)
        self.fields["price"] = MoneyField(currency=currency, label=f"Price, {currency}", initial=price)
        self.fields["shipping"] = MoneyField(
            currency=currency, nought=True, required=False, label=f"Shipping, {currency}"
        )
        self.fields["until"] = forms.DateField(
            label="Stands until",
            initial=until,
            widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        )
        self.fields["word"] = forms.CharField(
            label="A word to the buyer",
            max_length=1000,
            required=False,
            widget=forms.Textarea(attrs={"rows": 3}),
            help_text="Printed on the quotation.",
        )
        self.order_fields(self.field_order)

    def given(self) -> dict[str, Any]:
        """No shipping is nothing."""
        typed = super().given()
        return typed | {"shipping": typed["shipping"] or Decimal(0)}
