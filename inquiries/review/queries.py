"""The rows that a month's figures are computed from."""

from datetime import datetime, timedelta

from django.db.models import Count, F, OuterRef, Q, QuerySet, Subquery

from catalog.models import Instrument
from inquiries.review.rules import Amount, Rows, Sold
from inquiries.sales.actions import share_due
from inquiries.sales.models import Hold, Sale
from inquiries.sales.queries import IN_FORCE, charged, paid, price_charged, with_rows
from inquiries.threads.models import Inquiry, Message
from shop.months import Month
from shop.profile.models import ShopProfile

Outcome = Sale.Outcome


def ended_between(start: datetime, end: datetime) -> QuerySet[Sale]:
    """Sales that ended in the span (start in, end out), in the order they ended, with their rows."""
    return with_rows(Sale.objects.filter(ended_at__gte=start, ended_at__lt=end)).order_by("ended_at", "pk")


def rows_of(month: Month, shop: ShopProfile, *, at: datetime) -> Rows:
    """Everything the figures of `month` are computed from, in a fixed number of queries.

    What is owed is as at the month's end, or as at `at` while it still runs. How fast an inquiry was
    answered is as known at `at`.
    """
    start, end = month.span(shop.zone)
    cut = min(end, at)
    ended = list(ended_between(start, end))
    off = [sale for sale in ended if sale.outcome != Outcome.CLOSED]
    return Rows(
        sold=[sold(sale, shop) for sale in ended if sale.outcome == Outcome.CLOSED],
        waits=waits(start, end, at=at),
        **_holds(start, end, at=at),
        balances=balances_at(cut),
        shares_unpaid=shares_unpaid_at(cut),
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
        share=share_due(sale),
        days=sale.instrument.days_in_stock(ended_at),
        month=Month.of(ended_at, shop.zone),
    )


def waits(start: datetime, end: datetime, *, at: datetime) -> list[timedelta | None]:
    """For each inquiry whose first question came in the span: how long until our answer, None for none by `at`.

    An acknowledgement that goes out by itself is no answer. A thread in which nothing was asked is left out.
    """
    said = Message.objects.filter(inquiry=OuterRef("pk")).order_by("at", "pk")
    answers = said.filter(ours=True, automatic=False, at__gte=OuterRef("asked"), at__lte=at)
    threads = (
        Inquiry.objects.annotate(asked=Subquery(said.filter(ours=False).values("at")[:1]))
        .filter(Q(asked__gte=start, asked__lt=end))
        .annotate(answered=Subquery(answers.values("at")[:1]))
    )
    return [
        answered - asked if answered else None for asked, answered in threads.values_list("asked", "answered")
    ]


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


def shares_unpaid_at(cut: datetime) -> list[Amount]:
    """The consignors' shares of sales closed before `cut` and not paid out by then."""
    closed = with_rows(
        Sale.objects.filter(
            Q(payout__isnull=True) | Q(payout__at__gte=cut),
            outcome=Outcome.CLOSED,
            ended_at__lt=cut,
            instrument__acquisition__commission_percent__isnull=False,
        )
    )
    return [(sale.currency, share) for sale in closed if (share := share_due(sale))]


def standing_too_long(cut: datetime, days: int) -> QuerySet[Instrument]:
    """Pieces for sale at `cut` that had been listed for more than `days`, the longest first."""
    return (
        Instrument.objects.named()
        .filter(Q(state=Instrument.State.LISTED) | Q(sold_at__gte=cut))
        .filter(listed_at__lt=cut - timedelta(days=days))
        .order_by(F("listed_at").asc(), "pk")
    )
