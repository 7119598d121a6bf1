"""The invented shop loads, and its figures are those that its JSON alone comes to."""

import json
import re
from collections import Counter
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

import pytest
from django.db.models import Sum

import demo_fixtures
from catalog.instruments.availability import Availability, annotated, availability_of
from catalog.models import Instrument, Kind
from inquiries.instalments.queries import payments_of
from inquiries.instalments.rules import State
from inquiries.models import IssuedPaper, LedgerRow, Message, Plan, Sale, Shipment, TradeIn
from inquiries.review.queries import rows_of
from inquiries.review.rules import figures
from inquiries.sales.queries import facts_of, still_to_be_told, with_rows
from inquiries.shipping.queries import parcel_panel
from shop.models import Job, ShopProfile
from shop.months import Month
from tests.demo_fixtures.conftest import NOW

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]

Row = dict[str, Any]

FOLDER = Path(demo_fixtures.__file__).parent
TODAY = date(2026, 11, 25)
MONTHS = [Month(2026, 11).later(-back) for back in range(15)]
CENT = Decimal("0.01")


def read(name: str) -> Any:
    return json.loads((FOLDER / name).read_text(encoding="utf-8"))


def stock() -> dict[int, Row]:
    """The instruments of the JSON, by their stock numbers."""
    found = [
        row for file in (FOLDER / "instruments").glob("*.json") for row in read(f"instruments/{file.name}")
    ]
    return {row["stock"]: row for row in found}


def events(kind: str) -> list[Row]:
    return [event for event in read("year.json")["events"] if event["type"] == kind]


def stock_of_inquiry() -> dict[str, int]:
    return {event["key"]: event["stock"] for event in events("inquiry")}


def deposits() -> dict[str, Row]:
    """The event that opened each sale, by its inquiry."""
    found = {event["inquiry"]: event for event in events("deposit")}
    assert len(found) == len(events("deposit")), "two sales of one inquiry cannot be told apart here"
    return found


def month_of(event: Row) -> Month:
    """The month of an event on the shop's calendar, which is what its days are counted on."""
    day = TODAY - timedelta(days=event["days_ago"])
    return Month(day.year, day.month)


def landed(row: Row, price: Decimal) -> Decimal:
    """What a piece of the JSON cost: what was spent on it, and of a consigned one what its owner gets."""
    spent = sum((Decimal(str(cost["amount"])) for cost in row["costs"]), Decimal(0))
    if row["acquired"]["how"] != "consigned":
        return spent
    percent = Decimal(str(row["acquired"]["commission_percent"]))
    return spent + price - (price * percent / 100).quantize(CENT, ROUND_HALF_UP)


def test_about_forty_instruments_of_all_five_kinds_are_there() -> None:
    traded = {trade.instrument.stock_id for trade in TradeIn.objects.all()}
    assert set(stock()) | traded == {instrument.stock_id for instrument in Instrument.objects.all()}
    assert len(traded) == len(events("trade")) > 0
    assert 36 <= len(stock()) <= 44
    of_each = Counter(Instrument.objects.values_list("kind__slug", flat=True))
    assert set(of_each) == set(Kind.objects.values_list("slug", flat=True))
    assert len(of_each) == 5
    assert min(of_each.values()) >= 3


def test_every_state_is_there(shop: ShopProfile) -> None:
    pieces = list(annotated(Instrument.objects.all(), at=NOW))
    states = Counter(str(piece.state) for piece in pieces)
    assert states == Counter(row["state"] for row in stock().values()) + Counter(draft=len(events("trade")))
    assert set(states) == {"draft", "listed", "sold", "withdrawn"}
    in_sale = set(Sale.objects.filter(ended_at=None).values_list("instrument", flat=True))
    words = {(availability_of(piece), piece.pk in in_sale) for piece in pieces}
    assert words == {
        (Availability.AVAILABLE, False),
        (Availability.ON_HOLD, False),
        (Availability.ON_HOLD, True),
        (Availability.SOLD, False),
        (Availability.NOT_LISTED, False),
    }


def test_a_piece_that_was_published_has_six_photographs_or_more() -> None:
    shown = Instrument.objects.exclude(state=Instrument.State.DRAFT)
    assert [piece.stock_id for piece in shown if piece.photographs.ready().count() < 6] == []


def test_a_sale_that_has_ended_adds_up_to_nil() -> None:
    ended = Sale.objects.exclude(ended_at=None).annotate(rest=Sum("rows__amount"))
    assert {sale.outcome for sale in ended} >= {Sale.Outcome.CLOSED, Sale.Outcome.RETURNED}
    assert [(sale.number, sale.rest) for sale in ended if sale.rest] == []


def test_an_open_sale_owes_what_its_events_leave() -> None:
    ended = {event["inquiry"] for event in [*events("close"), *events("returned")]}
    owed = []
    for key, first in deposits().items():
        later = [event["amount"] for event in events("payment") if event["inquiry"] == key]
        later += [event["value"] for event in events("trade") if event["inquiry"] == key]
        if key not in ended:
            owed.append(first["price"] + first["shipping"] - first["amount"] - sum(later))
    found = with_rows(Sale.objects.filter(ended_at=None))
    assert len(owed) >= 2
    assert sorted(facts_of(sale).balance for sale in found) == sorted(Decimal(str(rest)) for rest in owed)


def test_every_amount_received_has_its_receipt() -> None:
    received = LedgerRow.objects.filter(kind__in=["deposit", "payment"])
    assert received.count() == len(events("deposit")) + len(events("payment"))
    assert received.filter(receipts=None).count() == 0


def test_a_plan_of_instalments_runs_whose_first_is_paid() -> None:
    (plan,) = Plan.objects.all()
    payments = payments_of(plan.sale, at=NOW)
    assert payments is not None
    assert [row.state for row in payments.rows] == [State.PAID, State.AHEAD, State.AHEAD]
    assert sum(row.open for row in payments.rows) == facts_of(plan.sale).balance * 100


def test_there_is_a_paper_of_every_kind() -> None:
    assert set(IssuedPaper.objects.values_list("kind", flat=True)) == set(IssuedPaper.Kind)


def test_nothing_is_left_that_the_worker_should_have_done() -> None:
    assert not Job.objects.filter(due__lt=NOW).exists()
    assert not Message.objects.filter(delivery=Message.Delivery.WAITING).exists()
    assert not still_to_be_told().exists()


@pytest.mark.parametrize("month", MONTHS, ids=str)
def test_the_months_figures_are_those_of_the_json(month: Month, shop: ShopProfile) -> None:
    opened, stocked, asked = deposits(), stock(), stock_of_inquiry()
    closed = [event["inquiry"] for event in events("close") if month_of(event) == month]
    prices = {key: Decimal(str(opened[key]["price"])) for key in closed}
    revenue = sum(prices.values(), Decimal(0))
    cost = sum((landed(stocked[asked[key]], price) for key, price in prices.items()), Decimal(0))
    told = figures(rows_of(month, shop, at=NOW))
    assert told.closed == len(closed)
    assert told.revenue == ({"USD": revenue} if closed else {})
    assert told.landed == ({"USD": cost} if closed else {})
    assert told.margin == ({"USD": revenue - cost} if closed else {})


def test_the_months_tested_hold_every_sale_and_one_of_a_consignor() -> None:
    months = [month_of(event) for event in events("close")]
    assert {Month(2026, 11), Month(2026, 10), Month(2025, 11)} <= set(months) <= set(MONTHS)
    sold = [stock()[stock_of_inquiry()[event["inquiry"]]] for event in events("close")]
    assert "consigned" in {row["acquired"]["how"] for row in sold}


def test_the_pieces_marked_as_sold_are_those_whose_sales_closed() -> None:
    closed = {stock_of_inquiry()[event["inquiry"]] for event in events("close")}
    assert closed == {number for number, row in stock().items() if row["state"] == "sold"}


def test_every_mail_address_is_one_that_nobody_can_have() -> None:
    """The ending .example is kept for such use. Source: RFC 2606, section 2."""
    written = "\n".join(file.read_text(encoding="utf-8") for file in sorted(FOLDER.rglob("*.json")))
    addresses = re.findall(r"[^\s\"@<>(),;]+@[^\s\"@<>(),;]+", written)
    assert len(addresses) > 30
    assert [address for address in addresses if not address.rstrip(".").endswith(".example")] == []


def test_every_parcel_is_reckoned_by_the_rule_of_its_carrier() -> None:
    sent = Shipment.objects.exclude(carrier="")
    panels = [parcel_panel(one, currency=one.currency, day=one.at.date()) for one in sent]
    assert len(panels) == len([event for event in events("ship") if event.get("carrier")]) > 0
    assert all(panel and panel.rule for panel in panels)
    assert len({panel.rule.pk for panel in panels if panel and panel.rule}) > 2, "by more than one rule"
