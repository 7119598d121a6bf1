"""What the forms that promise or sell a consigned piece ask of the owner: why it goes below the reserve."""

from datetime import datetime
from decimal import Decimal

from django import forms

from catalog.models import Instrument
from inquiries.sales.models import Hold
from inquiries.sales.reserve import allowed_for, reserve_at
from shop.money import Money
from shop.staff.models import User


def add_reason(form: forms.Form, hold: Hold, *, user: User, at: datetime) -> None:
    """Where a reserve was agreed, let the owner write why the price is below it; a helper is not shown that it was.

    Below the reserve, the price that the owner let it go at to this buyer takes its place.
    """
    instrument = hold.instrument
    if not user.is_owner or not (reserve := reserve_at(instrument, at)):
        return
    allowed = allowed_for(hold)
    least, named = (reserve, "the reserve of the agreement")
    if allowed is not None and allowed < reserve:
        least, named = (allowed, "the offer that was accepted below the reserve")
    form.fields["below_reserve"] = forms.CharField(
        label=f"Why it goes below {Money(least, instrument.currency)}, {named}",
        help_text="Only for a price below it. Kept in the history.",
        max_length=300,
        required=False,
    )
    form.order_fields(["price", "below_reserve"])


def below_reserve(instrument: Instrument, price: Decimal, *, user: User, at: datetime) -> str:
    """The reserve that `price` is below, for the owner; empty otherwise."""
    reserve = reserve_at(instrument, at) if user.is_owner else None
    return str(Money(reserve, instrument.currency)) if reserve and price < reserve else ""
