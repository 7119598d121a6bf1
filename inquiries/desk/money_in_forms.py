"""Forms for money that comes in: the day, a surcharge on cards, and an amount in another currency."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from inquiries.desk.fields import MoneyField
from inquiries.desk.sale_forms import MoneyForm
from inquiries.sales.actions import Received
from inquiries.sales.money_rules import Quoted, comes_to, day_refused, may_count_as
from shop.money import Money, UnreadableAmount, parse_amount
from shop.policies.models import HousePolicy

OTHER = ("other_amount", "other_currency", "rate", "rate_on", "rate_source")
DAY = {"type": "date"}
PLAIN = {"autocomplete": "off"}


class MoneyInForm(MoneyForm):
    """Money received. What is paid in another currency is told apart, with its rate, and counts for the amount.

    `today` is the day on the shop's clock, `asked` the day on which the hold was asked for.
    """

    field_order = [
        "price",
        "shipping",
        "amount",
        "method",
        "came_in_on",
        "note",
        "surcharge",
        *OTHER,
        "entry",
    ]

    def __init__(
        self,
        *args: Any,
        currency: str,
        today: date,
        asked: date | None,
        policy: HousePolicy,
        **options: Any,
    ) -> None:
        super().__init__(*args, currency=currency, **options)
        self.currency, self.today, self.asked = currency, today, asked
        self.fields["amount"].required = False
        self.fields["came_in_on"] = forms.DateField(
            label="Came in on", required=False, initial=today, widget=forms.DateInput(DAY, format="%Y-%m-%d")
        )
        if policy.surcharge_percent:
            self.fields["surcharge"] = _surcharge(policy)
        self.fields |= _other_currency(currency)
        self.order_fields(self.field_order)

    def main_fields(self) -> Iterator[BoundField]:
        """The fields that every payment has."""
        return (field for field in self if field.name not in OTHER)

    def other_fields(self) -> Iterator[BoundField]:
        """The fields of an amount in another currency."""
        return (field for field in self if field.name in OTHER)

    @property
    def other_open(self) -> bool:
        """Whether something stands in the fields of another currency."""
        return self.is_bound and any(str(self.data.get(self.add_prefix(name), "")).strip() for name in OTHER)

    def clean_came_in_on(self) -> date | None:
        """The day can be: not to come, and not before the hold."""
        day: date | None = self.cleaned_data["came_in_on"]
        if day and (why := day_refused(day, today=self.today, asked=self.asked)):
            raise forms.ValidationError(why, code="day-of-money")
        return day

    def clean_other_currency(self) -> str:
        """A code of the published list, other than that of the sale."""
        code = str(self.cleaned_data["other_currency"]).strip().upper()
        if code == self.currency:
            message = f"{code} is the currency of this sale. Leave these fields empty."
            raise forms.ValidationError(message, code="same-currency")
        return code

    def clean(self) -> dict[str, Any]:
        """Put together `money`, with the day, the surcharge and the rate."""
        given = super().clean() or self.cleaned_data
        quoted = self._quoted(given)
        amount = given.get("amount")
        if amount is None and quoted is None and not self.errors:
            self.add_error("amount", forms.ValidationError("Write the amount.", code="required"))
        if self.errors:
            return given
        if quoted is not None:
            amount = self._counted(amount, quoted)
        if not self.errors and amount is not None:
            given["money"] = Received(
                amount,
                given["method"],
                given["entry"],
                given["note"],
                on=given["came_in_on"],
                surcharge=bool(given.get("surcharge")),
                quoted=quoted,
            )
        return given

    def _quoted(self, given: dict[str, Any]) -> Quoted | None:
        """The amount in another currency; None when nothing of it is typed, or something of it is wrong."""
        if not self.other_open:
            return None
        lacking = [name for name in OTHER if not given.get(name) and name not in self.errors]
        for name in lacking:
            self.add_error(
                name, forms.ValidationError("With another currency this is needed.", code="required")
            )
        if any(name in self.errors for name in OTHER):
            return None
        try:
            amount = parse_amount(given["other_amount"], given["other_currency"]).amount
        except UnreadableAmount as error:
            field = "other_currency" if error.code == "unknown-currency" else "other_amount"
            self.add_error(field, forms.ValidationError(error.message, code=error.code))
            return None
        if not amount:
            self.add_error(
                "other_amount", forms.ValidationError("Write an amount above nought.", code="nought")
            )
            return None
        return Quoted(
            amount, given["other_currency"], given["rate"], given["rate_on"], given["rate_source"].strip()
        )

    def _counted(self, amount: Decimal | None, quoted: Quoted) -> Decimal:
        """What the other amount counts for: as typed, if the rate allows it, or by the rate alone."""
        found = comes_to(quoted, self.currency)
        if not found:
            self.add_error("rate", forms.ValidationError("At this rate it comes to nothing.", code="rate"))
        if amount is None:
            return found
        if not may_count_as(amount, quoted, self.currency):
            one, whole = Money(quoted.amount, quoted.currency), Money(found, self.currency)
            message = (
                f"{one} at this rate comes to {whole}. Write that as the amount, or leave the amount empty."
            )
            self.add_error("amount", forms.ValidationError(message, code="rate"))
        return amount


class DepositForm(MoneyInForm):
    """The first money of a sale, and what the sale is made of."""

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, currency=currency, **options)
        self.fields["price"] = MoneyField(currency=currency, label=f"Price agreed, {currency}")
        self.fields["shipping"] = MoneyField(
            currency=currency, nought=True, required=False, label=f"Shipping charged, {currency}"
        )
        self.fields["amount"].label = f"Received now, {currency}"
        self.order_fields(self.field_order)

    def clean_shipping(self) -> Decimal:
        """Nothing typed is nothing charged."""
        return self.cleaned_data["shipping"] or Decimal(0)


def _surcharge(policy: HousePolicy) -> forms.BooleanField:
    percent = f"{policy.surcharge_percent.normalize():f}"
    return forms.BooleanField(
        label=f"Charge the surcharge of {percent} per cent on top, by card alone",
        required=False,
        help_text=f"Not allowed everywhere, and usually not above what the card costs. {policy.surcharge_source}",
    )


def _other_currency(currency: str) -> dict[str, forms.Field]:
    plain = forms.TextInput(PLAIN)
    return {
        "other_amount": forms.CharField(label="Amount paid", required=False, max_length=20, widget=plain),
        "other_currency": forms.CharField(
            label="Currency", required=False, max_length=3, widget=plain, help_text="Its code: EUR, JPY, KWD."
        ),
        "rate": forms.DecimalField(
            label=f"Rate quoted, {currency} for one of it",
            required=False,
            min_value=Decimal("0.00000001"),
            max_digits=18,
            decimal_places=8,
            widget=forms.TextInput({"inputmode": "decimal", **PLAIN}),
        ),
        "rate_on": forms.DateField(
            label="Rate of", required=False, widget=forms.DateInput(DAY, format="%Y-%m-%d")
        ),
        "rate_source": forms.CharField(
            label="Where the rate stands",
            required=False,
            max_length=200,
            help_text="The page of a bank, a letter.",
        ),
    }
