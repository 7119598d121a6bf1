"""The invented year as it is being told."""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from inquiries.models import Inquiry, LedgerRow, Sale
from inquiries.sales.actions import Received
from shop.models import User

Event = dict[str, Any]


@dataclass
class Year:
    """Who is who, which sale came of which inquiry, and which event is told now."""

    owner: User
    helper: User
    people: dict[str, Event]
    inquiries: dict[str, Inquiry] = field(default_factory=dict)
    returns: dict[str, str] = field(default_factory=dict)
    told: int = 0

    @property
    def entry(self) -> str:
        """The place of an event in the year, as the token of its press."""
        return f"{self.told:032x}"

    def inquiry(self, event: Event) -> Inquiry:
        """The inquiry that an event belongs to."""
        return self.inquiries[event["inquiry"]]

    def sale(self, event: Event) -> Sale:
        """The sale of its inquiry that was opened last."""
        return Sale.objects.filter(inquiry=self.inquiry(event)).latest("opened_at", "pk")

    def money(self, event: Event) -> Received:
        """The amount of an event; its place in the year is its entry."""
        amount = Decimal(str(event["amount"]))
        return Received(amount, event.get("method", "wire"), f"year-{self.told}", event.get("note", ""))

    def money_in(self, event: Event) -> LedgerRow:
        """The amount received that an event names by its place."""
        rows = [row for row in self.sale(event).rows.all() if row.is_money_in]
        row: LedgerRow = rows[event["which"] - 1]
        return row
