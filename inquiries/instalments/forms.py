"""The form of a plan: worked out from a number and a first day, or typed line by line."""

import re
from datetime import date
from typing import Any

from django import forms

from inquiries.desk.inquiry_forms import EntryForm
from inquiries.instalments.rules import Due, schedule
from inquiries.sales.posting_rules import from_minor, in_minor
from shop.money import Money, UnreadableAmount, parse_amount

LINE = re.compile(r"(\d{4}-\d{2}-\d{2})[ ,;]+(.+)")


def as_lines(dues: list[Due], currency: str) -> str:
    """The plan as it is typed: a line for each instalment."""
    amounts = [Money(from_minor(due.minor, currency), currency).amount for due in dues]
    return "\n".join(f"{due.on.isoformat()} {amount:,}" for due, amount in zip(dues, amounts, strict=True))


class PlanForm(EntryForm):
    """Number and first day, from which the lines are worked out; the lines are what is agreed."""

    count = forms.IntegerField(label="Number of instalments", min_value=1, max_value=120, required=False)
    first_on = forms.DateField(
        label="The first is due on", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    lines = forms.CharField(
        label="Instalments",
        required=False,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="One a line: the day as 2027-01-15, and the amount. Worked out above, to be changed as you like.",
    )
    note = forms.CharField(label="What was agreed besides", max_length=300, required=False)

    def __init__(self, *args: Any, currency: str, balance: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.currency, self.balance = currency, in_minor(balance, currency)

    def worked_out(self) -> "PlanForm":
        """The same form with its lines worked out from number and first day; with the reason where they cannot be."""
        self.is_valid()
        count, first = self.cleaned_data.get("count"), self.cleaned_data.get("first_on")
        if not count or not first:
            self.add_error(None, "Write the number of instalments and the day of the first.")
            return self
        try:
            dues = schedule(self.balance, count, first)
        except ValueError as error:
            self.add_error("count", str(error))
            return self
        data = dict(self.data.items())
        data[self.add_prefix("lines")] = as_lines(dues, self.currency)
        return PlanForm(data, currency=self.currency, balance=from_minor(self.balance, self.currency))

    def clean_lines(self) -> list[Due]:
        """Read each line."""
        text = str(self.cleaned_data["lines"])
        return [
            self._due(number, line.strip())
            for number, line in enumerate(text.splitlines(), 1)
            if line.strip()
        ]

    def _due(self, number: int, line: str) -> Due:
        found = LINE.fullmatch(line)
        if found is None:
            raise forms.ValidationError(
                f"Line {number}, “{line}”, is no day and amount such as 2027-01-15 1,500.", code="line"
            )
        try:
            amount = parse_amount(found[2], self.currency).amount
            return Due(date.fromisoformat(found[1]), in_minor(amount, self.currency))
        except UnreadableAmount as error:
            raise forms.ValidationError(f"Line {number}: {error.message}", code=error.code) from None
        except ValueError:
            raise forms.ValidationError(f"Line {number}: there is no day {found[1]}.", code="day") from None
