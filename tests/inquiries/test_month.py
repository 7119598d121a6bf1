"""The month's page: what falls into it, to the instant and to the cent."""

import csv
import io
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.models import Acquisition, Cost, Instrument
from inquiries.models import Contact, LedgerRow, Message, Sale
from inquiries.review.queries import rows_of, standing_too_long
from inquiries.review.rules import Figures, figures
from inquiries.sales import actions
from inquiries.sales.hold_actions import place_hold, release_hold, settle
from shop.hours.actions import set_hours
from shop.models import ShopProfile
from shop.months import Month
from tests.factories import NOON, InquiryFactory, InstrumentFactory
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import ask, cleared, closed, delivered, fresh, held, opened, received
from tests.inquiries.steps import back as come_back

TICK = timedelta(microseconds=1)
HOUR = timedelta(hours=1)
DAY = timedelta(days=1)
JUNE = Month(2026, 6)
# June in the shop's zone, New York at UTC-4.
BEGINS, ENDS = datetime(2026, 6, 1, 4, tzinfo=UTC), datetime(2026, 7, 1, 4, tzinfo=UTC)
LATER = ENDS + 30 * DAY


def june(profile: ShopProfile, at: datetime = LATER) -> Figures:
    return figures(rows_of(JUNE, profile, at=at))


def cost(instrument: Instrument, amount: str, currency: str = "USD") -> None:
    Cost.objects.create(
        instrument=instrument,
        kind="repair",
        amount=Decimal(amount),
        currency=currency,
        on=NOON.date(),
        at=NOON,
    )


def consigned(sale: Sale, percent: str) -> Sale:
    Acquisition.objects.create(
        instrument=sale.instrument,
        how="consigned",
        seller="Orrin Pell",
        on=NOON.date(),
        commission_percent=Decimal(percent),
    )
    return sale


@pytest.mark.parametrize(("at", "counted"), [(BEGINS - TICK, 0), (BEGINS, 1), (ENDS - TICK, 1), (ENDS, 0)])
def test_a_sale_belongs_to_the_month_in_which_it_closed(
    at: datetime, counted: int, profile: ShopProfile
) -> None:
    closed(at=at)
    assert june(profile).closed == counted


@pytest.mark.parametrize(("at", "counted"), [(BEGINS - TICK, 0), (BEGINS, 1), (ENDS - TICK, 1), (ENDS, 0)])
def test_a_hold_and_a_question_belong_to_the_month_they_were_asked_in(
    at: datetime, counted: int, profile: ShopProfile
) -> None:
    hold = held(at=at)
    ask(hold.inquiry, at=at)
    assert (june(profile).holds_placed, june(profile).inquiries) == (counted, counted)


def test_a_hold_lapses_in_the_month_of_its_end_whether_or_not_it_was_settled(profile: ShopProfile) -> None:
    hold = held(at=ENDS - 2 * DAY - TICK)  # its 48 hours end one tick before the month does
    assert june(profile, at=ENDS - 2 * TICK).holds_lapsed == 0
    assert june(profile).holds_lapsed == 1
    settle(hold.instrument, at=ENDS + DAY)
    assert june(profile).holds_lapsed == 1
    held(at=ENDS - 2 * DAY)  # ends with the month: end out, so it lapses in July
    assert june(profile).holds_lapsed == 1


def test_released_holds_are_told_from_lapsed_ones(profile: ShopProfile) -> None:
    release_hold(held(at=NOON), by=None, at=NOON + HOUR)
    assert (june(profile).holds_released, june(profile).holds_lapsed) == (1, 0)


def test_an_acknowledgement_is_no_answer_and_a_hold_without_a_question_no_inquiry(
    profile: ShopProfile,
) -> None:
    answered, waiting = InquiryFactory(), InquiryFactory()
    held(at=NOON)
    for inquiry in (answered, waiting):
        ask(inquiry, at=NOON)
        ask(inquiry, at=NOON, ours=True, automatic=True, channel=Message.Channel.MAIL)
    ask(answered, at=NOON + 3 * HOUR, ours=True, channel=Message.Channel.TELEPHONE)
    ask(answered, at=NOON + 9 * HOUR, ours=True)
    found = june(profile)
    assert (found.inquiries, found.unanswered, found.median_wait) == (2, 1, Decimal("3.0"))
    assert june(profile, at=NOON + 3 * HOUR - TICK).unanswered == 2


def test_the_first_answer_is_told_by_the_clock_and_in_opening_hours(
    profile: ShopProfile, owners: Client, clock: Clock
) -> None:
    clock.on(days=8)
    # Open from 10 am to 4 pm in New York, at UTC-4; NOON is 8 am there, on a Wednesday.
    set_hours({day: ((time(10), time(16)),) for day in range(5)}, by=None, at=NOON)
    for hours in (3, 24, 24 * 7):  # an hour open; six; five days of six
        ask(inquiry := InquiryFactory(contact__name=f"After {hours}"), at=NOON)
        ask(inquiry, at=NOON + hours * HOUR, ours=True, channel=Message.Channel.VISIT)
    ask(InquiryFactory(contact__name="Waiting"), at=NOON + HOUR)
    found = june(profile)
    assert (found.inquiries, found.unanswered) == (4, 1)
    assert (found.median_wait, found.longest_wait) == (Decimal("24.0"), Decimal("168.0"))
    assert (found.median_open_wait, found.longest_open_wait) == (Decimal("6.0"), Decimal("30.0"))

    page = owners.get(reverse("month-of", args=["2026-06"])).text
    assert "6 opening hours" in page
    assert "What goes out by itself is no answer" in page
    rows = list(csv.reader(io.StringIO(owners.get(reverse("month-csv", args=["2026-06"])).text)))
    assert ["Time to first answer, median", "opening hours", "6.0", "", ""] in rows
    begin = rows.index(["Inquiry of", "About", "Asked", "First answer", "Hours", "Opening hours"])
    assert [[row[0], *row[2:]] for row in rows[begin + 1 : begin + 5]] == [
        ["After 3", "2026-06-10 08:00", "2026-06-10 11:00", "3.0", "1.0"],
        ["After 24", "2026-06-10 08:00", "2026-06-11 08:00", "24.0", "6.0"],
        ["After 168", "2026-06-10 08:00", "2026-06-17 08:00", "168.0", "30.0"],
        ["Waiting", "2026-06-10 09:00", "", "", ""],
    ]


def test_what_is_owed_is_as_at_the_months_end(profile: ShopProfile) -> None:
    sale = opened(at=ENDS - DAY)
    actions.record_payment(sale, received("1000.00"), by=None, at=ENDS - TICK)
    actions.record_payment(sale, received("500.00"), by=None, at=ENDS)
    assert june(profile).owed_to_us == {"USD": Decimal("9000.00")}
    assert june(profile, at=ENDS - HOUR).owed_to_us == {"USD": Decimal("10000.00")}
    opened(at=ENDS)
    assert june(profile).owed_to_us == {"USD": Decimal("9000.00")}


def test_a_share_is_owed_until_it_is_paid(profile: ShopProfile) -> None:
    sale = consigned(closed(at=NOON, price="999.99", deposit="999.99"), "33.33")
    share = Decimal("666.69")  # by hand: 33.33 per cent of 999.99 is 333.296…, to the cent 333.30
    assert june(profile).shares_unpaid == {"USD": share}
    assert june(profile).landed == {"USD": share}
    actions.pay_consignor(fresh(sale), method="wire", by=None, at=ENDS)
    assert june(profile).shares_unpaid == {"USD": share}
    assert june(profile, at=ENDS + HOUR).shares_unpaid == {"USD": share}
    assert figures(rows_of(JUNE.later(1), profile, at=LATER)).shares_unpaid == {}


def test_a_refund_due_is_owed_by_us(profile: ShopProfile) -> None:
    sale = opened(shipping="150.00", deposit="12650.00")
    actions.reverse_row(sale.rows.get(kind="shipping"), reason="Collected", by=None, at=NOON + HOUR)
    assert june(profile).refunds_due == {"USD": Decimal("150.00")}
    assert june(profile).owed_to_us == {}


def test_returned_and_fallen_through_are_no_revenue_and_what_was_kept_is_told(profile: ShopProfile) -> None:
    fell = cleared(opened())
    actions.end_without_sale(fell, reason="x", money=received("2000.00"), by=None, at=NOON + HOUR)
    back = come_back(delivered(opened(), at=NOON), at=NOON + DAY)
    actions.end_without_sale(back, reason="x", money=received("12500.00"), by=None, at=NOON + DAY)
    found = june(profile)
    assert (found.closed, found.returned, found.fell_through) == (0, 1, 1)
    assert found.revenue == {}
    assert found.kept == {"USD": Decimal("500.00")}


def test_two_computations_agree_to_the_cent(profile: ShopProfile) -> None:
    """The figures by the pure rule, and by one statement of SQL each, in whole cents."""
    for number in range(9):
        sale = closed(
            at=NOON + number * HOUR,
            price=f"{1234 + 777 * number}.{number}7",
            deposit="100.00",
            shipping="45.10" if number % 2 else "0",
        )
        cost(sale.instrument, f"{300 + number}.05")
        if number % 3 == 0:
            consigned(sale, f"{12 + number}.35")
    undone = opened(at=NOON, price="800.00", shipping="60.00", deposit="800.00")
    actions.reverse_row(undone.rows.get(kind="shipping"), reason="Collected", by=None, at=NOON)
    consigned(undone, "15")
    actions.close_sale(delivered(undone, at=NOON + DAY), by=None, at=NOON + 4 * DAY)
    opened(at=NOON, price="5000.00")
    closed(at=BEGINS - TICK)

    found = june(profile)
    assert cents(found.revenue["USD"]) == by_sql(REVENUE)
    assert cents(found.landed["USD"]) == by_sql(COSTS) + by_sql(SHARES)
    assert cents(found.margin["USD"]) == by_sql(REVENUE) - by_sql(COSTS) - by_sql(SHARES)
    assert cents(found.owed_to_us["USD"]) == by_sql(OWED)
    assert found.closed == 10


def cents(amount: Decimal) -> int:
    return int(amount * 100)


def by_sql(statement: str) -> int:
    span = [connection.ops.adapt_datetimefield_value(instant) for instant in (BEGINS, ENDS)]
    with connection.cursor() as cursor:
        cursor.execute(statement, span)
        return int(cursor.fetchone()[0])


PRICES = """
    SELECT s.id, s.instrument_id, CAST(SUM(ROUND(r.amount * 100)) AS BIGINT) AS price
    FROM inquiries_sale s JOIN inquiries_ledgerrow r ON r.sale_id = s.id
    LEFT JOIN inquiries_ledgerrow o ON o.id = r.reverses_id
    WHERE s.outcome = 'closed' AND s.ended_at >= %s AND s.ended_at < %s
      AND COALESCE(o.kind, r.kind) IN ('price', 'credit')
    GROUP BY s.id, s.instrument_id
"""
REVENUE = f"SELECT SUM(price) FROM ({PRICES}) p"  # noqa: S608 - no value in it comes from outside
COSTS = f"""
    SELECT SUM(CAST(ROUND(c.amount * 100) AS BIGINT)) FROM ({PRICES}) p
    JOIN catalog_cost c ON c.instrument_id = p.instrument_id
"""  # noqa: S608
# Whole cents and hundredths of a per cent, so that the half is rounded up in integers.
SHARES = f"""
    SELECT SUM(p.price - (p.price * CAST(ROUND(a.commission_percent * 100) AS BIGINT) + 5000) / 10000)
    FROM ({PRICES}) p JOIN catalog_acquisition a ON a.instrument_id = p.instrument_id
    WHERE a.commission_percent IS NOT NULL
"""  # noqa: S608
OWED = """
    SELECT SUM(balance) FROM (
        SELECT SUM(CAST(ROUND(r.amount * 100) AS BIGINT)) AS balance
        FROM inquiries_sale s JOIN inquiries_ledgerrow r ON r.sale_id = s.id
        WHERE s.ended_at IS NULL AND s.opened_at >= %s AND s.opened_at < %s GROUP BY s.id
    ) b WHERE balance > 0
"""


@pytest.fixture
def traded(profile: ShopProfile, clock: Clock) -> Sale:
    """A sale in June 2026, one in June 2025, one that fell through; the clock stands in July."""
    clock.at = LATER
    closed(at=NOON - 365 * DAY, price="400.00", deposit="400.00", instrument=listed(at=NOON - 400 * DAY))
    fell = cleared(opened(at=NOON))
    actions.end_without_sale(fell, reason="x", money=None, by=None, at=NOON + HOUR)
    sale = closed(at=NOON, price="1000.00", deposit="1000.00", contact__name="Cole Withers")
    cost(sale.instrument, "640.00")
    return sale


def listed(at: datetime, **fields: Any) -> Instrument:
    made: Instrument = InstrumentFactory(state="listed", listed_at=at, **fields)
    return made


def test_the_page_shows_two_years_side_by_side(traded: Sale, owners: Client) -> None:
    page = owners.get(reverse("month-of", args=["2026-06"])).text
    cells = ["Revenue", "$1,000", "$400", "+$600"]
    assert (
        "".join(
            f'<th scope="row">{cell}</th>' if cell == "Revenue" else f'<td class="number">{cell}</td>'
            for cell in cells
        )
        in page
    )
    assert "as it stood at the month’s end" in page
    assert traded.number in page
    assert page.count("<rect") == 26
    assert page.count('class="state state-fell-through"') == 1


def test_the_running_month_is_the_one_without_a_name(
    db: None, clock: Clock, request: pytest.FixtureRequest
) -> None:
    clock.at = ENDS - TICK
    owners: Client = request.getfixturevalue("owners")  # logs in at that instant
    assert "<h1>June 2026</h1>" in owners.get(reverse("month")).text
    clock.at = ENDS
    page = owners.get(reverse("month")).text
    assert "<h1>July 2026</h1>" in page
    assert "The month still runs" in page
    assert 'rel="next"' not in page
    assert 'rel="next"' in owners.get(reverse("month-of", args=["2026-06"])).text


@pytest.mark.parametrize("name", ["2026-13", "may", "2026-07", "0000-01", "9999-12"])
def test_no_month_and_a_month_to_come_are_not_found(name: str, owners: Client) -> None:
    assert owners.get(reverse("month-of", args=[name])).status_code == 404
    assert owners.get(reverse("month-csv", args=[name])).status_code == 404


@pytest.mark.parametrize("address", ["/desk/month/", "/desk/month/2026-05/", "/desk/month/2026-05.csv"])
def test_the_month_is_the_owners_alone(address: str, owners: Client, helpers: Client, client: Client) -> None:
    assert owners.get(address).status_code == 200
    assert helpers.get(address).status_code == 403
    assert client.get(address)["Location"].startswith("/desk/log-in/")
    assert owners.post(address).status_code == 405


def test_the_file_has_the_figures_of_the_page_and_no_formula(traded: Sale, owners: Client) -> None:
    Contact.objects.filter(pk=traded.contact_id).update(name="=HYPERLINK(1)")
    answer = owners.get(reverse("month-csv", args=["2026-06"]))
    assert answer["Content-Disposition"] == 'attachment; filename="month-2026-06.csv"'
    rows = list(csv.reader(io.StringIO(answer.text)))
    assert rows[0] == ["Figure", "Unit", "June 2026", "June 2025", "Change"]
    assert ["Revenue", "USD", "1000.00", "400.00", "600.00"] in rows
    assert ["Gross margin", "USD", "360.00", "400.00", "-40.00"] in rows
    sale = next(row for row in rows if row[:1] == [traded.number])
    assert sale[5:] == ["'=HYPERLINK(1)", "USD", "1000.00", "640.00", "360.00", "", "30"]
    fell = next(row for row in rows if "Fell through" in row)
    assert fell[6:] == ["USD", "", "", "", "2500.00", ""]


def test_pieces_standing_too_long_are_listed_from_the_longest(profile: ShopProfile) -> None:
    cut, limit = ENDS, timedelta(days=180)
    longest, long = listed(at=cut - limit - DAY), listed(at=cut - limit - TICK)
    listed(at=cut - limit)
    InstrumentFactory()
    sold_later = closed(at=cut, instrument=listed(at=cut - limit - 2 * DAY)).instrument
    closed(at=cut - TICK, instrument=listed(at=cut - limit - 3 * DAY))
    assert list(standing_too_long(cut, 180)) == [sold_later, longest, long]


@pytest.mark.parametrize("many", [1, 5])
def test_the_page_costs_the_same_number_of_queries(
    many: int, traded: Sale, owners: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(many):
        sale = consigned(closed(at=NOON + number * HOUR), "20")
        cost(sale.instrument, "10.00")
        opened(at=NOON)
        opened(at=NOON - 365 * DAY, instrument=listed(at=NOON - 400 * DAY))
        ask(InquiryFactory(), at=NOON)
    actions.close_sale(
        delivered(consigned(opened(at=NOON - 365 * DAY), "20"), at=NOON - 364 * DAY),
        by=None,
        at=NOON - 360 * DAY,
    )
    owners.get(reverse("month-of", args=["2026-06"]))
    with django_assert_num_queries(86):
        owners.get(reverse("month-of", args=["2026-06"]))


def test_a_second_place_in_the_queue_is_a_hold_placed_too(profile: ShopProfile) -> None:
    first = held(at=NOON)
    place_hold(first.instrument, InquiryFactory(instrument=first.instrument), by=None, at=NOON)
    assert june(profile).holds_placed == 2
    assert LedgerRow.objects.count() == 0
