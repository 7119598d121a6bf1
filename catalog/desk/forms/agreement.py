"""The terms of a piece on consignment: the owner's."""

import uuid
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField
from django.http import QueryDict

from catalog.desk.forms.costs import day_field
from catalog.desk.forms.price import AmountField
from catalog.instruments.models import Instrument
from catalog.pricing.models import Agreement
from catalog.pricing.share_rules import Tier

FURTHER = (2, 3, 4)  # rates after the first
PLAIN = ("starts", "ends", "basis", "reserve", "repairs_by", "shipping_in_by", "payout_days", "note")


class AgreementForm(forms.Form):
    """What was agreed from a day on, proposed as the agreement before it had it."""

    entry = forms.UUIDField(widget=forms.HiddenInput)
    starts = day_field("From")
    ends = day_field("Until", "Left empty: as long as no other takes its place.")
    payout_days = forms.IntegerField(
        label="Paid out within, in days",
        min_value=0,
        max_value=365,
        help_text="Counted from the end of the approval period.",
    )
    basis = forms.ChoiceField(label="Commission is counted on", choices=Agreement.Basis.choices)
    repairs_by = forms.ChoiceField(
        label="Repairs, parts and set-up are borne by", choices=Agreement.Bears.choices
    )
    shipping_in_by = forms.ChoiceField(
        label="Shipping to the shop is borne by", choices=Agreement.Bears.choices
    )
    note = forms.CharField(label="Note", max_length=300, required=False)

    def __init__(
        self, instrument: Instrument, data: QueryDict | None, *, known: Agreement | None, today: date
    ) -> None:
        super().__init__(data, initial=_initial(known, today), prefix="agreement")
        self.fields["ends"].required = False
        currency = instrument.currency
        self._add_rate(1, "Commission, per cent")
        for place in FURTHER:
            self.fields[f"above_{place}"] = AmountField(
                currency=currency, required=False, label=f"On what lies above, {currency}"
            )
            self._add_rate(place, "Per cent")
        self.fields["least"] = AmountField(
            currency=currency, required=False, label=f"Least commission, {currency}"
        )
        self.fields["reserve"] = AmountField(
            currency=currency, required=False, label=f"Not to be sold below, {currency}"
        )

    def _add_rate(self, place: int, label: str) -> None:
        self.fields[f"rate_{place}"] = forms.DecimalField(
            label=label,
            required=place == 1,
            min_value=Decimal(0),
            max_value=Decimal(100),
            decimal_places=2,
        )

    @property
    def further(self) -> list[tuple[BoundField, BoundField]]:
        """The rates after the first, each with the amount it begins above."""
        return [(self[f"above_{place}"], self[f"rate_{place}"]) for place in FURTHER]

    def clean(self) -> dict[str, Any]:
        """A rate has its amount and an amount its rate; no two begin at one; it ends after it begins."""
        given = self.cleaned_data
        tiers = {Decimal(0): given.get("rate_1")}
        for place in FURTHER:
            above, rate = given.get(f"above_{place}"), given.get(f"rate_{place}")
            if {f"above_{place}", f"rate_{place}"} & set(self.errors):
                continue
            if above is None and rate is None:
                continue
            if above is None:
                self._wrong(f"above_{place}", "Write the amount above which this rate counts.")
            elif rate is None:
                self._wrong(f"rate_{place}", "Write the rate on what lies above this amount.")
            elif above in tiers:
                self._wrong(f"above_{place}", "Another rate begins at this amount already.")
            else:
                tiers[above] = rate
        starts, ends = given.get("starts"), given.get("ends")
        if starts and ends and ends < starts:
            self._wrong("ends", "It would end before it begins. Look at both days.")
        if not self.errors:
            given["tiers"] = [Tier(above, rate) for above, rate in sorted(tiers.items()) if rate is not None]
        return given

    def _wrong(self, name: str, says: str) -> None:
        self.add_error(name, ValidationError(says, code="agreement"))

    @property
    def terms(self) -> dict[str, Any]:
        """The columns of the row, as the deed takes them."""
        given = self.cleaned_data
        return {name: given[name] for name in PLAIN} | {"least": given["least"] or Decimal(0)}


def _initial(known: Agreement | None, today: date) -> dict[str, Any]:
    start: dict[str, Any] = {"entry": uuid.uuid4(), "starts": today}
    if known is None:
        return start | {"payout_days": 14, "shipping_in_by": Agreement.Bears.CONSIGNOR}
    kept = {name: getattr(known, name) for name in PLAIN if name not in {"starts", "ends", "note"}}
    for place, tier in enumerate(known.tiers.all(), 1):
        kept |= {f"above_{place}": tier.above, f"rate_{place}": f"{tier.percent.normalize():f}"}
    return kept | start | {"least": known.least or None}
