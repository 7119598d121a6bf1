"""What an open sale waits for, as a line of Today."""

from datetime import datetime

from django.urls import reverse
from django.utils.timesince import timesince

from inquiries.instalments.queries import Payments, instant_after, payments_on
from inquiries.instalments.rules import State
from inquiries.review.lines import Due
from inquiries.sales.models import Sale
from inquiries.sales.posting_rules import from_minor
from inquiries.sales.rules import SaleFacts
from inquiries.sales.way_rules import Next, what_next
from shop.money import Money
from shop.profile.models import ShopProfile

LATE = {State.LATE: "Instalment late", State.DEFAULT: "Instalments in default"}


def next_of_sale(sale: Sale, facts: SaleFacts, whose: str, shop: ShopProfile, *, at: datetime) -> Due:
    """The next move of an open sale (reads its rows, parcel, plan, return and inspection)."""
    what = what_next(facts, at=at)
    if what == Next.BALANCE:
        return balance_of(sale, facts, whose, shop, at=at)
    return LINES[what](sale, facts, whose, at)


def money_to_clear(sale: Sale, facts: SaleFacts, whose: str, at: datetime) -> Due:
    """Money that the bank has still to make final."""
    note = f"{Money(facts.uncleared, sale.currency)} not final at the bank yet"
    return Due(f"Money to clear: {whose}", note, _page(sale, "bank"), "Mark as cleared")


def balance_of(sale: Sale, facts: SaleFacts, whose: str, shop: ShopProfile, *, at: datetime) -> Due:
    """Money to come: by the plan if there is one, else by the day that was promised, else as it stands."""
    page, owed = reverse("sale", args=[sale.number]), Money(facts.balance, sale.currency)
    payments = payments_on(sale, at.astimezone(shop.zone).date())
    if payments and payments.next:
        return _of_plan(payments, whose, page, shop)
    due = sale.balance_due_at
    if due and due <= at:
        note = f"{owed} to come, for {timesince(due, at)} now"
        return Due(f"Balance overdue: {whose}", note, f"{page}#payment", "Record a payment", due, over=True)
    return Due(
        f"Balance due: {whose}",
        f"{owed} to come",
        f"{page}#payment",
        "Record a payment",
        due or sale.opened_at,
    )


def _of_plan(payments: Payments, whose: str, page: str, shop: ShopProfile) -> Due:
    following, currency = payments.next, payments.plan.currency
    assert following is not None, "asked before"  # noqa: S101
    when = (instant_after(following.due.on, shop.zone), following.due.on)
    amount = Money(from_minor(following.open, currency), currency)
    if payments.in_default:
        note = f"{payments.overdue} should have come in by now, and the days of grace are gone"
        return Due(
            f"{LATE[State.DEFAULT]}: {whose}", note, f"{page}#plan", "Look at the plan", *when, over=True
        )
    if following.state == State.LATE:
        note = f"{payments.overdue} should have come in by now; in default after {_grace(payments)}"
        return Due(
            f"{LATE[State.LATE]}: {whose}", note, f"{page}#payment", "Record a payment", *when, over=True
        )
    note = f"{amount} by the end of {following.due.on:%-d %B %Y}"
    return Due(f"Instalment due: {whose}", note, f"{page}#payment", "Record a payment", *when)


def _grace(payments: Payments) -> str:
    days = payments.plan.grace_days
    return f"{days} day{'' if days == 1 else 's'} of grace"


def _page(sale: Sale, place: str = "") -> str:
    page = reverse("sale", args=[sale.number])
    return f"{page}#{place}" if place else page


def _refund(sale: Sale, facts: SaleFacts, whose: str, at: datetime) -> Due:
    note = f"{Money(-facts.balance, sale.currency)} paid too much"
    return Due(f"Refund due: {whose}", note, _page(sale, "refund"), "Refund it", sale.opened_at)


def _pack(sale: Sale, facts: SaleFacts, whose: str, at: datetime) -> Due:
    return Due(f"To be packed: {whose}", "Paid in full", _page(sale, "parcel"), "Record the parcel")


def _delivery(sale: Sale, facts: SaleFacts, whose: str, at: datetime) -> Due:
    note = f"On its way for {timesince(facts.shipped_at or at, at)}"
    where, deed = _page(sale, "delivered"), "Record the delivery"
    return Due(f"Delivery to record: {whose}", note, where, deed, facts.shipped_at)


def _approval(sale: Sale, facts: SaleFacts, whose: str, at: datetime) -> Due:
    until = facts.approval_until or at
    note = f"Approval ends in {timesince(at, until)}"
    return Due(f"On approval: {whose}", note, _page(sale), "Open the sale", until)


def _close(sale: Sale, facts: SaleFacts, whose: str, at: datetime) -> Due:
    note, where = "The approval period is over", _page(sale, "close")
    return Due(f"To close: {whose}", note, where, "Close the sale", facts.approval_until, over=True)


def _lost(sale: Sale, facts: SaleFacts, whose: str, at: datetime) -> Due:
    where = _page(sale, "went")
    return Due(f"Lost on the way: {whose}", "Follow the claim", where, "Look at the parcel", facts.lost_at)


def _look(sale: Sale, facts: SaleFacts, whose: str, at: datetime) -> Due:
    where = reverse("sale-inspection", args=[sale.number])
    note = "Not looked at yet" if facts.delivered_at else "Undelivered, and not looked at yet"
    return Due(f"Coming back: {whose}", note, where, "Enter how it came back", facts.returning_at)


def _settle(sale: Sale, facts: SaleFacts, whose: str, at: datetime) -> Due:
    note = f"{sale.inspection.get_verdict_display()}; what is paid back is to be settled"
    where, deed = _page(sale, "end"), "Settle the return"
    return Due(f"Return to settle: {whose}", note, where, deed, facts.inspected_at, over=True)


LINES = {
    Next.CLEAR: money_to_clear,
    Next.REFUND: _refund,
    Next.PACK: _pack,
    Next.DELIVERY: _delivery,
    Next.LOST: _lost,
    Next.APPROVAL: _approval,
    Next.CLOSE: _close,
    Next.LOOK: _look,
    Next.SETTLE: _settle,
}
