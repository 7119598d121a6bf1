"""What an open sale waits for, as a line of Today."""

from datetime import datetime

from django.urls import reverse
from django.utils.timesince import timesince

from inquiries.instalments.queries import Payments, instant_after, payments_on
from inquiries.instalments.rules import State
from inquiries.review.lines import Due
from inquiries.sales.models import Sale
from inquiries.sales.posting_rules import from_minor
from inquiries.sales.rules import SaleFacts, Stage, stage
from shop.money import Money
from shop.profile.models import ShopProfile

LATE = {State.LATE: "Instalment late", State.DEFAULT: "Instalments in default"}


def next_of_sale(sale: Sale, facts: SaleFacts, whose: str, shop: ShopProfile, *, at: datetime) -> Due:
    """The next step of an open sale (reads its rows, parcel, plan, return and inspection)."""
    page = reverse("sale", args=[sale.number])
    now, until = stage(facts, at=at), facts.approval_until
    if now in OUT_OF_THE_WAY:
        return OUT_OF_THE_WAY[now](sale, facts, whose)
    if facts.balance > 0:
        return balance_of(sale, facts, whose, shop, at=at)
    if facts.balance < 0:
        note = f"{Money(-facts.balance, sale.currency)} paid too much"
        return Due(f"Refund due: {whose}", note, f"{page}#refund", "Refund it", sale.opened_at)
    if now == Stage.PAID:
        return Due(f"To be packed: {whose}", "Paid in full", f"{page}#parcel", "Record the parcel")
    if now == Stage.SHIPPED:
        note = f"On its way for {timesince(facts.shipped_at or at, at)}"
        return Due(
            f"Delivery to record: {whose}", note, f"{page}#delivered", "Record the delivery", facts.shipped_at
        )
    if now == Stage.APPROVAL and until:
        note = f"Approval ends in {timesince(at, until)}"
        return Due(f"On approval: {whose}", note, page, "Open the sale", until)
    note = "The approval period is over"
    return Due(f"To close: {whose}", note, f"{page}#close", "Close the sale", until, over=True)


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


def _lost(sale: Sale, facts: SaleFacts, whose: str) -> Due:
    where = f"{reverse('sale', args=[sale.number])}#went"
    return Due(f"Lost on the way: {whose}", "Follow the claim", where, "Look at the parcel", facts.lost_at)


def _coming_back(sale: Sale, facts: SaleFacts, whose: str) -> Due:
    where = reverse("sale-inspection", args=[sale.number])
    note = "Not looked at yet"
    return Due(f"Coming back: {whose}", note, where, "Enter how it came back", facts.returning_at)


def _back(sale: Sale, facts: SaleFacts, whose: str) -> Due:
    where = f"{reverse('sale', args=[sale.number])}#end"
    note = f"{sale.inspection.get_verdict_display()}; what is paid back is to be settled"
    return Due(f"Return to settle: {whose}", note, where, "Settle the return", facts.inspected_at, over=True)


OUT_OF_THE_WAY = {Stage.LOST: _lost, Stage.COMING_BACK: _coming_back, Stage.BACK: _back}
