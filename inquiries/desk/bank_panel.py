"""Money that has come in and is not final: how it stands at the bank, what is usually minded, and what can be noted."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django import forms

from inquiries.desk.fields import MoneyField
from inquiries.sales.bank_rules import CAUTIONS, Caution, steps_left
from inquiries.sales.ledger_models import BankStep, LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.queries import awaits_clearing
from inquiries.sales.rules import SaleFacts, Step, allowed
from shop.money import Money
from shop.profile.queries import the_shop
from shop.staff.models import User


class StepForm(forms.Form):
    """What the bank did with one amount, and on which day. The button that is pressed names the step."""

    row = forms.IntegerField(widget=forms.HiddenInput)
    on = forms.DateField(label="Day", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"))
    note = forms.CharField(max_length=200, required=False)
    step = forms.ChoiceField(choices=BankStep.Step.choices)


class ClearForm(forms.Form):
    """The bank has made one amount final; of another currency, at what amount."""

    row = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, found: LedgerRow, **options: Any) -> None:
        super().__init__(*args, **options)
        if hasattr(found, "exchange"):
            self.fields["booked"] = MoneyField(
                currency=found.currency,
                label=f"What the bank booked, {found.currency}",
                help_text=f"Counted as {Money(found.received, found.currency)}. The difference stands apart.",
            )
        self.fields["final"] = forms.BooleanField(
            label="The bank says that it is final, not only that it can be drawn",
            error_messages={
                "required": "Ask the bank whether the money is final, and tick this when it says so."
            },
        )


@dataclass(frozen=True)
class Waiting:
    """One amount that is not final."""

    row: LedgerRow
    paid_as: str
    cautions: tuple[Caution, ...]
    steps: list[tuple[str, str]]
    step_form: forms.Form | None
    clear_form: forms.Form | None


def paid_as(row: LedgerRow) -> str:
    """The amount in another currency that a row stands for, with its rate; empty when there is none."""
    exchange = getattr(row, "exchange", None)
    if exchange is None:
        return ""
    one, rate = Money(exchange.amount, exchange.currency), f"{exchange.rate.normalize():f}"
    quoted = f"rate of {exchange.quoted_on:%-d %B %Y}, {exchange.source}"
    return f"Paid as {one}, at {rate} {row.currency} for one {exchange.currency}; {quoted}"


def bank_panel(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any] | None:
    """Every amount of the sale that is not final; None when there is none."""
    found = waiting_of(sale, may=allowed(Step.CLEAR, facts, at=at), at=at)
    return {"waiting": found} if found else None


def waiting_of(
    sale: Sale, *, may: bool, at: datetime, bound: dict[int, forms.Form] | None = None
) -> list[Waiting]:
    """The amounts with their forms; `bound` are forms that came back, by row."""
    today, kept = at.astimezone(the_shop().zone).date(), bound or {}
    return [_waiting(row, may, today, kept.get(row.pk)) for row in sale.rows.all() if awaits_clearing(row)]


def _waiting(row: LedgerRow, may: bool, today: date, back: forms.Form | None) -> Waiting:
    left = steps_left(row.method, [one.step for one in row.bank_steps.all()])
    step_form = back if isinstance(back, StepForm) else step_form_of(row, initial={"on": today})
    clear_form = back if isinstance(back, ClearForm) else clear_form_of(row)
    return Waiting(
        row=row,
        paid_as=paid_as(row),
        cautions=CAUTIONS.get(row.method, ()),
        steps=[(step, BankStep.Step(step).label) for step in left],
        step_form=step_form if may and left else None,
        clear_form=clear_form if may else None,
    )


def step_form_of(row: LedgerRow, data: Any = None, initial: dict[str, Any] | None = None) -> StepForm:
    """The form of a step with `row`."""
    return StepForm(data, initial={"row": row.pk, **(initial or {})}, auto_id=f"id_step{row.pk}_%s")


def clear_form_of(row: LedgerRow, data: Any = None) -> ClearForm:
    """The form that makes `row` final."""
    return ClearForm(data, found=row, initial={"row": row.pk}, auto_id=f"id_final{row.pk}_%s")
