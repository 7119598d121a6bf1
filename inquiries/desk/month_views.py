"""The month, for the owner: figures beside the same month last year, a chart with its table, and a CSV file."""

import csv
from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.pricing.queries import is_consigned
from inquiries.review.chart import draw
from inquiries.review.queries import ended_between, first_answers, rows_of, sold, standing_too_long
from inquiries.review.rules import SECOND, Line, Wait, by_month, figures, guarded, hours, side_by_side
from inquiries.sales.models import Sale
from inquiries.sales.queries import paid
from inquiries.threads.models import Inquiry
from inquiries.threads.queries import in_order_of_waiting
from inquiries.threads.turn_rules import FIRST_ANSWER
from shop.hours.queries import open_week
from shop.hours.rules import OpenWeek
from shop.money import Money
from shop.months import Month
from shop.profile.models import ShopProfile
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, owner_only

YEAR = 12
UNITS = {"count": "", "days": " days", "hours": " hours", "opening hours": " opening hours", "per cent": "%"}
MINUS = "\N{MINUS SIGN}"
HEADS = ["Figure", "Unit", "This month", "The same month last year", "Change"]
WAIT_HEADS = ["Inquiry of", "About", "Asked", "First answer", "Hours", "Opening hours"]
SALE_HEADS = ["Sale", "Ended", "Outcome", "Stock number", "Instrument", "Buyer", "Currency", "Price", "Landed cost",
              "Gross margin", "Kept", "Days in stock"]  # fmt: skip


@require_safe
@owner_only
def month(request: DeskRequest, month: str = "") -> HttpResponse:
    """The figures of one month; without a name, of the month that runs."""
    shop, at = the_shop(), timezone.now()
    wanted, week = wanted_month(month, shop, at), open_week(shop)
    start, end = wanted.span(shop.zone)
    months = [wanted.later(back) for back in range(-YEAR, 1)]
    closed = [
        sold(sale, shop)
        for sale in ended_between(months[0].span(shop.zone)[0], end)
        if sale.outcome == Sale.Outcome.CLOSED
    ]
    points = by_month(closed, months, shop.currency)
    context: dict[str, Any] = {
        "month": wanted,
        "before": wanted.later(-1),
        "after": wanted.later(1) if end <= at else None,
        "last_year": wanted.later(-YEAR),
        "runs": start <= at < end,
        "first_answer_rule": FIRST_ANSWER,
        "hours_given": week.given,
        "lines": [(line, *_shown(line)) for line in _lines(wanted, shop, week, at=at)],
        "sales": _sale_rows(wanted, shop),
        "standing": _standing(shop, min(end, at)),
        "points": points,
        "chart": draw(points),
        "others": sorted({sale.currency for sale in closed} - {shop.currency}),
    }
    return render(request, "desk/month/month.html", context)


@require_safe
@owner_only
def month_csv(request: DeskRequest, month: str) -> HttpResponse:
    """The same figures, and the month's sales, for a spreadsheet."""
    shop, at = the_shop(), timezone.now()
    wanted = wanted_month(month, shop, at)
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="month-{wanted}.csv"'
    writer = csv.writer(response)
    for row in _csv_rows(wanted, shop, at=at):
        writer.writerow([_cell(value) for value in row])
    return response


def wanted_month(text: str, shop: ShopProfile, at: datetime) -> Month:
    """The month named, or the one that runs; a name that is none, or a month to come, is not found."""
    running = Month.of(at, shop.zone)
    try:
        wanted = Month.read(text) if text else running
    except ValueError as error:
        raise Http404(str(error)) from None
    if wanted > running:
        raise Http404("This month has not begun.")
    return wanted


def _standing(shop: ShopProfile, cut: datetime) -> list[tuple[str, list[dict[str, Any]]]]:
    """What has stood too long, the shop's own stock apart from what is on consignment."""
    own: list[dict[str, Any]] = []
    others: list[dict[str, Any]] = []
    for piece in standing_too_long(cut, shop.standing_days):
        row = {"instrument": piece, "days": piece.days_in_stock(cut)}
        (others if is_consigned(piece) else own).append(row)
    named = [("The shop’s own stock", own), ("On consignment", others)]
    return [(name, rows) for name, rows in named if rows]


def _lines(wanted: Month, shop: ShopProfile, week: OpenWeek, *, at: datetime) -> list[Line]:
    now = figures(rows_of(wanted, shop, at=at, week=week))
    before = figures(rows_of(wanted.later(-YEAR), shop, at=at, week=week))
    return side_by_side(now, before, shop.currency)


def _shown(line: Line) -> list[str]:
    """Now, before and the change as they are read."""
    change = _said(line, line.change).replace("%", " points").replace("-", MINUS)
    if line.change and line.change > 0:
        change = f"+{change}"
    return [_said(line, line.now), _said(line, line.before), change]


def _said(line: Line, value: Decimal | int | None) -> str:
    if value is None:
        return "—"
    if line.money:
        return str(Money(Decimal(value), line.unit))
    whole = value == int(value) and line.unit != "per cent"
    return f"{int(value) if whole else value:,}{UNITS[line.unit]}"


def _sale_rows(wanted: Month, shop: ShopProfile) -> list[dict[str, Any]]:
    return [_sale_row(sale, shop) for sale in ended_between(*wanted.span(shop.zone))]


def _sale_row(sale: Sale, shop: ShopProfile) -> dict[str, Any]:
    """A closed sale has price, cost and margin; one that did not go has what was kept."""
    row: dict[str, Any] = {
        "sale": sale,
        "consigned": is_consigned(sale.instrument),
        "kept": None,
        "price": None,
        "landed": None,
        "margin": None,
        "days": None,
    }
    if sale.outcome != Sale.Outcome.CLOSED:
        return row | {"kept": paid(sale.rows.all())}
    facts = sold(sale, shop)
    # Costs in another currency stand in the month's figures under that currency, not in this column.
    landed = sum((amount for currency, amount in facts.landed if currency == sale.currency), Decimal(0))
    return row | {"price": facts.price, "landed": landed, "margin": facts.price - landed, "days": facts.days}


def _csv_rows(wanted: Month, shop: ShopProfile, *, at: datetime) -> Iterator[list[Any]]:
    yield [*HEADS[:2], wanted.name, wanted.later(-YEAR).name, HEADS[-1]]
    week = open_week(shop)
    for line in _lines(wanted, shop, week, at=at):
        figures = (line.now, line.before, line.change)
        yield [line.name, line.unit, *(_plain(value, line.unit if line.money else "") for value in figures)]
    yield []
    yield SALE_HEADS
    for row in _sale_rows(wanted, shop):
        sale: Sale = row["sale"]
        ended = sale.ended_at.astimezone(shop.zone).date().isoformat() if sale.ended_at else ""
        yield [
            sale.number,
            ended,
            sale.get_outcome_display(),
            sale.instrument.stock_id,
            sale.instrument.title,
            sale.contact.name,
            sale.currency,
            *(_plain(row[name], sale.currency) for name in ("price", "landed", "margin", "kept")),
            row["days"],
        ]
    yield []
    yield WAIT_HEADS
    yield from _wait_rows(wanted, shop, week, at=at)
    yield [FIRST_ANSWER]


def _plain(value: Decimal | int | None, currency: str) -> Decimal | int | None:
    """Money with the decimals of its currency; a count as it is."""
    return Money(Decimal(value), currency).amount if currency and value is not None else value


def _wait_rows(wanted: Month, shop: ShopProfile, week: OpenWeek, *, at: datetime) -> Iterator[list[Any]]:
    """Each inquiry of the month with its first answer, so that the median can be worked out again."""
    found = first_answers(*wanted.span(shop.zone), at=at)
    threads = in_order_of_waiting(Inquiry.objects.filter(pk__in=[row.inquiry for row in found]))
    named = {thread.pk: thread for thread in threads}
    for row in found:
        wait = Wait.between(row.asked, row.answered, week)
        yield [
            named[row.inquiry].contact.name,
            named[row.inquiry].heading,
            *(_on_the_clock(instant, shop) for instant in (row.asked, row.answered)),
            *(None if span is None else hours(span // SECOND) for span in (wait.clock, wait.opening)),
        ]


def _on_the_clock(instant: datetime | None, shop: ShopProfile) -> str:
    return f"{instant.astimezone(shop.zone):%Y-%m-%d %H:%M}" if instant else ""


def _cell(value: object) -> object:
    if value is None:
        return ""
    return guarded(value) if isinstance(value, str) else value
