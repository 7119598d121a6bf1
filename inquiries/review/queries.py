"""The rows that a month's figures are computed from."""

from datetime import datetime, timedelta
from typing import NamedTuple

from django.db.models import Count, F, OuterRef, Q, QuerySet, Subquery

from catalog.models import Instrument
from catalog.pricing.queries import is_consigned
from inquiries.review.rules import Amount, Rows, Sold, Wait
from inquiries.sales.hold_models import Hold
from inquiries.sales.models import Sale
from inquiries.sales.queries import IN_FORCE, charged, paid, price_charged, with_rows
from inquiries.sales.shares import share_due
from inquiries.threads.models import Inquiry, Message
from shop.hours.queries import open_week
from shop.hours.rules import OpenWeek
from shop.months import Month
from shop.profile.models import ShopProfile

Outcome = Sale.Outcome


def ended_between(start: datetime, end: datetime) -> QuerySet[Sale]:
    """Sales that ended in the span (start in, end out), in the order they ended, with their rows."""
    return with_rows(Sale.objects.filter(ended_at__gte=start, ended_at__lt=end)).order_by("ended_at", "pk")


def rows_of(month: Month, shop: ShopProfile, *, at: datetime, week: OpenWeek | None = None) -> Rows:
    """Everything the figures of `month` are computed from, in a fixed number of queries.

    What is owed is as at the month's end, or as at `at` while it still runs. How fast an inquiry was
    answered is as known at `at`. `week` are the shop's hours, if they have been read already.
    """
    start, end = month.span(shop.zone)
    cut = min(end, at)
    ended, week = list(ended_between(start, end)), week or open_week(shop)
    off = [sale for sale in ended if sale.outcome != Outcome.CLOSED]
    return Rows(
        sold=[sold(sale, shop) for sale in ended if sale.outcome == Outcome.CLOSED],
        waits=[Wait.between(row.asked, row.answered, week) for row in first_answers(start, end, at=at)],
        **_holds(start, end, at=at),
        balances=balances_at(cut),
        shares_unpaid=shares_unpaid_at(cut, shop),
        kept=[(sale.currency, paid(sale.rows.all())) for sale in off],
        returned=sum(sale.outcome == Outcome.RETURNED for sale in off),
        fell_through=sum(sale.outcome == Outcome.FELL_THROUGH for sale in off),
    )


def sold(sale: Sale, shop: ShopProfile) -> Sold:
    """A closed sale as the figures read it."""
    ended_at = sale.ended_at or sale.opened_at
    return Sold(
        currency=sale.currency,
        price=price_charged(sale.rows.all()),
        costs=tuple((cost.currency, cost.amount) for cost in sale.instrument.costs.all()),
        share=share_due(sale, shop.zone),
        days=sale.instrument.days_in_stock(ended_at),
        month=Month.of(ended_at, shop.zone),
        consigned=is_consigned(sale.instrument),
    )


class Answered(NamedTuple):
    """A thread with its first question, and our first answer to it; None while there is none."""

    inquiry: int
    asked: datetime
    answered: datetime | None


def first_answers(start: datetime, end: datetime, *, at: datetime) -> list[Answered]:
    """For each thread whose first question came in the span, our first answer by `at`, in the order they were asked.

    The rule is `threads/turn_rules.first_answer`; a thread in which nothing was asked is left out.
    """
    said = Message.objects.filter(inquiry=OuterRef("pk"), automatic=False).order_by("at", "pk")
    questions = said.filter(ours=False, needs_no_answer=False)
    since = Q(at__gt=OuterRef("asked")) | Q(at=OuterRef("asked"), pk__gt=OuterRef("question"))
    threads = (
        # Nothing was asked in the span where the last word came before it.
        Inquiry.objects.filter(last_at__gte=start)
        .annotate(asked=Subquery(questions.values("at")[:1]))
        .filter(asked__gte=start, asked__lt=end)
        .annotate(question=Subquery(questions.values("pk")[:1]))
        .annotate(answered=Subquery(said.filter(since, ours=True, at__lte=at).values("at")[:1]))
        .order_by("asked", "pk")
    )
    return [Answered(*row) for row in threads.values_list("pk", "asked", "answered")]


def _holds(start: datetime, end: datetime, *, at: datetime) -> dict[str, int]:
    ended = Q(ended_at__gte=start, ended_at__lt=end)
    # A hold whose end has come has lapsed, whether or not the books have been brought up to it.
    unsettled = Q(state__in=IN_FORCE, until__gte=start, until__lt=end, until__lte=at)
    return Hold.objects.aggregate(
        holds_placed=Count("pk", filter=Q(asked_at__gte=start, asked_at__lt=end)),
        holds_lapsed=Count("pk", filter=Q(ended, state=Hold.State.EXPIRED) | unsettled),
        holds_released=Count("pk", filter=Q(ended, state=Hold.State.RELEASED)),
    )


def balances_at(cut: datetime) -> list[Amount]:
    """The balance, just before `cut`, of every sale that was open then."""
    open_then = Sale.objects.filter(Q(ended_at__isnull=True) | Q(ended_at__gte=cut), opened_at__lt=cut)
    found = []
    for sale in with_rows(open_then):
        rows = [row for row in sale.rows.all() if row.at < cut]
        found.append((sale.currency, charged(rows) - paid(rows)))
    return found


def shares_unpaid_at(cut: datetime, shop: ShopProfile) -> list[Amount]:
    """The consignors' shares of sales closed before `cut` and not paid out by then."""
    closed = with_rows(
        Sale.objects.filter(
            Q(payout__isnull=True) | Q(payout__at__gte=cut),
            outcome=Outcome.CLOSED,
            ended_at__lt=cut,
            instrument__acquisition__commission_percent__isnull=False,
        )
    )
    return [(sale.currency, share) for sale in closed if (share := share_due(sale, shop.zone))]


def standing_too_long(cut: datetime, days: int) -> QuerySet[Instrument]:
    """Pieces for sale at `cut` that had been listed for more than `days`, the longest first."""
    return (
        Instrument.objects.named()
        .select_related("acquisition")
        .filter(Q(state=Instrument.State.LISTED) | Q(sold_at__gte=cut))
        .filter(listed_at__lt=cut - timedelta(days=days))
        .order_by(F("listed_at").asc(), "pk")
    )
