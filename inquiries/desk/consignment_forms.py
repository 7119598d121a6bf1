"""What the forms that promise or sell a consigned piece ask of the owner: why it goes below the reserve."""

from datetime import datetime
from decimal import Decimal

from django import forms

from catalog.models import Instrument
from inquiries.sales.hold_models import Hold
from inquiries.sales.models import Sale
from inquiries.sales.reserve import allowed_for, reserve_at
from inquiries.sales.shares import agreement_of
from shop.money import Money
from shop.staff.models import User

RESERVE = "the reserve of the agreement"
ALLOWED = "the offer that was accepted below the reserve"


def add_reason(form: forms.Form, hold: Hold, *, user: User, at: datetime) -> None:
    """Where a reserve was agreed, let the owner write why the price is below it; a helper is not shown that it was.

    Below the reserve, the price that the owner let it go at to this buyer takes its place.
    """
    reserve = reserve_at(hold.instrument, at) if user.is_owner else None
    if not reserve:
        return
    allowed = allowed_for(hold)
    least, named = (reserve, RESERVE) if allowed is None else min((reserve, RESERVE), (allowed, ALLOWED))
    _ask_why(form, Money(least, hold.instrument.currency), named)
    form.order_fields(["price", "below_reserve"])


def add_reason_of_sale(form: forms.Form, sale: Sale) -> None:
    """The same where a price that was charged is taken back: a form of the owner alone."""
    agreement = agreement_of(sale)
    if agreement and agreement.reserve:
        _ask_why(form, Money(agreement.reserve, sale.currency), RESERVE)


def _ask_why(form: forms.Form, least: Money, named: str) -> None:
    form.fields["below_reserve"] = forms.CharField(
        label=f"Why it goes below {least}, {named}",
        help_text="Only for a price below it. Kept in the history.",
        max_length=300,
        required=False,
    )


def below_reserve(instrument: Instrument, price: Decimal, *, user: User, at: datetime) -> str:
    """The reserve that `price` is below, for the owner; empty otherwise."""
    reserve = reserve_at(instrument, at) if user.is_owner else None
    return str(Money(reserve, instrument.currency)) if reserve and price < reserve else ""
