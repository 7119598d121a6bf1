"""What the page of a sale says, to the owner alone, of the consignor's share: each figure with how it is reckoned."""

from datetime import datetime
from typing import Any

from inquiries.sales.models import Sale
from inquiries.sales.rules import SaleFacts
from inquiries.sales.statement import statement_of
from shop.profile.queries import the_shop
from shop.staff.models import User


def consignor_panel(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any] | None:
    """The statement as it stands; nothing for a helper, for our own piece, and for a sale that did not go."""
    if not user.is_owner or sale.outcome in {Sale.Outcome.RETURNED, Sale.Outcome.FELL_THROUGH}:
        return None
    found = statement_of(sale)
    if found is None:
        return None
    late = (
        found.due_on is not None
        and found.paid is None
        and found.due_on < at.astimezone(the_shop().zone).date()
    )
    return {"statement": found, "payout_late": late}
