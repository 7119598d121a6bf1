"""The accounts of a sale, for the owner: what each received and gave, with every movement behind it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from inquiries.sales.ledger_models import Posting
from inquiries.sales.models import Sale
from inquiries.sales.posting_rules import Entry, accounts, from_minor
from inquiries.sales.rules import SaleFacts
from shop.money import Money, total
from shop.staff.models import User

Name = Posting.Account


@dataclass(frozen=True)
class Movement:
    """One posting as one account sees it."""

    at: datetime
    amount: Money
    received: bool
    other: str
    cause: str
    row: int | None  # the line of the ledger that it comes from


@dataclass
class Shown:
    """One account, with its movements."""

    name: str
    received: Money
    given: Money
    movements: list[Movement] = field(default_factory=list)

    @property
    def balance(self) -> Money:
        """What it holds."""
        return self.received - self.given


def accounts_panel(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any] | None:
    """The accounts that were touched, and their totals, which are equal; for the owner alone."""
    if not user.is_owner:
        return None
    postings = list(sale.postings.select_related("row__reverses", "clearing__row", "payout"))
    if not postings:
        return None
    shown = accounts_shown(postings, sale.currency)
    return {
        "accounts": shown,
        "all_received": total((one.received for one in shown), sale.currency),
        "all_given": total((one.given for one in shown), sale.currency),
        "all_balance": total((one.balance for one in shown), sale.currency),
    }


def accounts_shown(postings: Iterable[Posting], currency: str) -> list[Shown]:
    """Each account in the order of the list of accounts."""
    kept = list(postings)
    found = accounts(Entry(one.debit, one.credit, one.minor) for one in kept)
    shown = {
        name: Shown(
            Name(name).label, _money(found[name].received, currency), _money(found[name].given, currency)
        )
        for name in Name.values
        if name in found
    }
    for one in kept:
        amount, cause, row = _money(one.minor, currency), _cause(one), _row(one)
        for name, other, received in ((one.debit, one.credit, True), (one.credit, one.debit, False)):
            shown[name].movements.append(Movement(one.at, amount, received, Name(other).label, cause, row))
    return list(shown.values())


def _cause(posting: Posting) -> str:
    if posting.row is not None:
        undone = posting.row.reverses
        return (
            f"Reversal of {undone.get_kind_display().lower()}" if undone else posting.row.get_kind_display()
        )
    if posting.clearing is not None:
        return f"{posting.clearing.row.get_kind_display()}, cleared"
    return "The consignor was paid" if posting.payout is not None else "The sale closed"


def _row(posting: Posting) -> int | None:
    return posting.row_id or (posting.clearing.row_id if posting.clearing else None)


def _money(minor: int, currency: str) -> Money:
    return Money(from_minor(minor, currency), currency)
