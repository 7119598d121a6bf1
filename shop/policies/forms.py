"""A house policy, as the owner writes it down: what it is about in parts, as on the page that shows it."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from shop.policies.models import HousePolicy

# The parts of a policy, in the order of a sale.
PARTS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Holds",
        (
            "hold_hours",
            "hold_most_hours",
            "deposit_due_hours",
            "deposit_hold_days",
            "extension_hours",
            "timer_public",
        ),
    ),
    (
        "Money",
        (
            "deposit_percent",
            "instalment_months",
            "grace_days",
            "default_keeps_percent",
            "surcharge_percent",
            "surcharge_source",
        ),
    ),
    ("Approval and return", ("approval_hours", "restocking_percent")),
    ("Parcels", ("declared_limit", "damage_days")),
)
TERMS = tuple(name for _, names in PARTS for name in names)


class PolicyForm(forms.ModelForm):
    """One policy, proposed as the one in force has it."""

    starts = forms.DateField(label="From", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))

    class Meta:
        model = HousePolicy
        fields = ("starts", *TERMS, "note")

    def __init__(self, data: object = None, *, now: HousePolicy, today: date) -> None:
        known: dict[str, Any] = {name: _plain(getattr(now, name)) for name in TERMS}
        super().__init__(data, initial={**known, "starts": today}, auto_id="policy_%s")  # type: ignore[arg-type]

    @property
    def parts(self) -> list[tuple[str, list[BoundField]]]:
        """The fields under the headings of their parts."""
        return [(heading, [self[name] for name in names]) for heading, names in PARTS]

    def clean(self) -> dict[str, Any]:
        """The usual hold fits into the longest, and a surcharge says where it is allowed."""
        given = super().clean() or self.cleaned_data
        usual, most = given.get("hold_hours"), given.get("hold_most_hours")
        if usual and most and usual > most:
            self.add_error(
                "hold_hours",
                ValidationError(
                    f"The usual hold of {usual} hours is longer than the longest, {most} hours. "
                    "Make the one shorter or the other longer.",
                    code="longer-than-longest",
                ),
            )
        if given.get("surcharge_percent") and not given.get("surcharge_source"):
            self.add_error(
                "surcharge_source",
                ValidationError(
                    "Write where it says that a surcharge is allowed, or let the surcharge be 0.",
                    code="no-source",
                ),
            )
        return given


def _plain(value: Any) -> Any:
    """A figure as it is typed: 20, not 20.00."""
    if not isinstance(value, Decimal):
        return value
    return f"{value.normalize():f}"
