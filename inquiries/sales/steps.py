"""What the deeds of a sale share: the lock, the table of steps, a row of the ledger, the end.

A deed of another room that touches a sale begins with `locked`, asks `check`, adds by `add_row`, and ends with
`settled`, inside one transaction.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from catalog.models import Instrument
from inquiries.sales.ledger_models import LedgerRow
from inquiries.sales.models import Sale
from inquiries.sales.money_rules import Quoted
from inquiries.sales.postings import post_row
from inquiries.sales.queries import facts_of, with_rows
from inquiries.sales.rules import Step, allowed, stage
from inquiries.sales.way_rules import instead
from shop.history.actions import record
from shop.money import Money
from shop.refusal import Refused
from shop.staff.models import User

Kind = LedgerRow.Kind


@dataclass(frozen=True)
class Received:
    """Money that came in or goes out: a positive amount in the sale's currency. `entry` names the press
    of the form it came from, so that a form sent twice is one row.

    `on` is the day it came in, None for now; `surcharge` asks for the house's surcharge on top of it; `quoted` is the
    amount in another currency that it stands for.
    """

    amount: Decimal
    method: str
    entry: str
    note: str = ""
    on: date | None = None
    surcharge: bool = False
    quoted: Quoted | None = None


def locked(sale: Sale) -> Sale:
    """The sale read anew, with all its rows, behind the lock of its instrument."""
    # The instrument's row is the lock for everything promised or sold of it, so a hold placed meanwhile waits.
    Instrument.objects.select_for_update().get(pk=sale.instrument_id)
    return with_rows(Sale.objects.all()).get(pk=sale.pk)


def already(entry: str) -> LedgerRow | None:
    """The row that this press of the form has added before."""
    return LedgerRow.objects.filter(entry=entry).first()


def check(sale: Sale, step: Step, *, at: datetime) -> None:
    """Raise Refused when the table of steps does not let `step` happen now, with what is next instead."""
    facts = facts_of(sale)
    if not allowed(step, facts, at=at):
        raise Refused(
            f"The sale stands at “{stage(facts, at=at)}”, so you cannot {step} now. {instead(facts, at=at)}",
            code="step-not-allowed",
        )


def not_more_than(amount: Decimal, most: Decimal, currency: str) -> None:
    """Raise Refused for more than is owed."""
    if amount > most:
        raise Refused(
            f"{Money(amount, currency)} is more than the {Money(most, currency)} that is owed. "
            "Do not send a surplus back before the money is final: it is a usual way of fraud.",
            code="more-than-owed",
        )


def check_all_final(sale: Sale, step: Step) -> None:
    """Raise Refused while money of the sale is not final at the bank: what is not there cannot go back, or close it."""
    if waiting := facts_of(sale).uncleared:
        raise Refused(
            f"{Money(waiting, sale.currency)} received is not final at the bank, so you cannot {step} now. Mark it as "
            "cleared when the bank says so; if it never comes, or was handed back, reverse its row.",
            code="not-final",
        )


def check_may_go_back(sale: Sale, amount: Decimal) -> None:
    """Raise Refused for paying back more than came in, or while money received is not final."""
    held, currency = facts_of(sale).paid, sale.currency
    if amount > held:
        most = f"Pay back {Money(held, currency)} at most" if held > 0 else "Nothing is left to pay back"
        raise Refused(
            f"{Money(amount, currency)} is more than the {Money(held, currency)} received. {most}; the ledger shows "
            "what came in.",
            code="more-than-received",
        )
    check_all_final(sale, Step.REFUND)


def pay_back(sale: Sale, money: Received, *, by: User | None, at: datetime) -> LedgerRow:
    """Add a refund; raises Refused for more than was received, or while money received is not final."""
    check_may_go_back(sale, money.amount)
    return add_row(
        sale,
        Kind.REFUND,
        money.amount,
        by=by,
        at=at,
        entry=money.entry,
        method=money.method,
        note=money.note,
        received_at=at,
    )


def add_row(
    sale: Sale,
    kind: str,
    amount: Decimal,
    *,
    by: User | None,
    at: datetime,
    entry: str,
    method: str = "",
    note: str = "",
    reverses: LedgerRow | None = None,
    received_at: datetime | None = None,
) -> LedgerRow:
    """Add a row to the ledger of a locked sale, with its postings. `amount` is what it does to what the buyer owes."""
    row = LedgerRow.objects.create(
        sale=sale,
        kind=kind,
        amount=amount,
        currency=sale.currency,
        method=method,
        note=note,
        by=by,
        at=at,
        entry=entry,
        reverses=reverses,
        received_at=received_at,
    )
    post_row(row)
    record(sale, "added", by=by, at=at, field=row.get_kind_display(), new=Money(amount, sale.currency))
    return row


def end(sale: Sale, outcome: Sale.Outcome, reason: str, *, by: User | None, at: datetime) -> None:
    """End a sale that is still open, by compare and swap."""
    won = Sale.objects.filter(pk=sale.pk, ended_at__isnull=True).update(
        ended_at=at, outcome=outcome, reason=reason
    )
    if not won:
        raise Refused("This sale has already ended. The page shows how it stands now.", code="ended")
    record(sale, outcome.label.lower(), by=by, at=at, field="outcome", new=reason)
    record(sale.instrument, f"sale {outcome.label.lower()}", by=by, at=at, new=sale.number)


def settled(sale: Sale, *, at: datetime) -> Sale:
    """Bring the copy of the stage up to the rows, as the last act of a deed."""
    now = with_rows(Sale.objects.all()).get(pk=sale.pk)
    sale.stage = stage(facts_of(now), at=at).name
    Sale.objects.filter(pk=sale.pk).update(stage=sale.stage)
    return sale
