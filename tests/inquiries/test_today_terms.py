"""Today, for money that is to come by a day and pieces that come back: each with its deed."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from inquiries.instalments.actions import agree
from inquiries.instalments.rules import schedule
from inquiries.models import Inspection, InspectionLine, ReturnCall, Sale
from inquiries.returns.actions import announce, inspect
from inquiries.review.due import sales
from inquiries.sales import actions
from inquiries.shipping.parcel_actions import record_loss
from shop.models import HousePolicy, ShopProfile, User
from tests.factories import NOON
from tests.inquiries.steps import delivered, entry, fresh, opened, received, sent
from tests.inquiries.test_today import part, whats

DAY = timedelta(days=1)
MINUTE = timedelta(minutes=1)
FIRST = date(2026, 7, 10)
ENDS = NOON.replace(month=7, day=11, hour=4)  # midnight after 10 July, at the shop


@pytest.fixture
def sale(profile: ShopProfile) -> Sale:
    """10,000 to come in four instalments, the first on 10 July, with a week of grace."""
    profile.time_zone = "America/New_York"
    profile.save()
    HousePolicy.objects.create(
        starts=date(2026, 1, 1), instalment_months=6, grace_days=7, default_keeps_percent=10, at=NOON
    )
    made = opened()
    actions.mark_cleared(made.rows.get(kind="deposit"), by=None, at=NOON)
    agree(made, schedule(1_000_000, 4, FIRST), note="", entry=entry(), by=None, at=NOON)
    return made


def test_an_instalment_is_due_then_late_then_in_default(sale: Sale, helper: User) -> None:
    for at, what, note, place, over in (
        (NOON, "Instalment due", "$2,500 by the end of 10 July 2026", "payment", False),
        (ENDS - MINUTE, "Instalment due", "$2,500 by the end of 10 July 2026", "payment", False),
        (
            ENDS,
            "Instalment late",
            "$2,500 should have come in by now; in default after 7 days",
            "payment",
            True,
        ),
        (ENDS + 7 * DAY, "Instalments in default", "$2,500 should have come in by now, and", "plan", True),
    ):
        (item,) = part("sales", helper, at)
        assert item.what.startswith(f"{what}: No. "), at
        assert item.note.startswith(note)
        assert (item.href, item.over) == (f"{reverse('sale', args=[sale.number])}#{place}", over)
        assert (item.when, item.day) == (ENDS, FIRST)


def test_an_instalment_paid_leaves_the_next(sale: Sale, helper: User) -> None:
    actions.record_payment(sale, received("2600.00", "cash"), by=None, at=NOON)
    (item,) = part("sales", helper, ENDS + 7 * DAY)
    assert item.note == "$2,400 by the end of 10 August 2026"


def test_a_balance_is_due_by_the_day_that_was_promised(helper: User) -> None:
    due = NOON + 5 * DAY
    made = opened()
    actions.mark_cleared(made.rows.get(kind="deposit"), by=None, at=NOON)
    Sale.objects.update(balance_due_at=due)
    (before,), (after,) = part("sales", helper, due - MINUTE), part("sales", helper, due)
    assert (before.what.partition(":")[0], before.when, before.over) == ("Balance due", due, False)
    assert (after.what.partition(":")[0], after.when, after.over) == ("Balance overdue", due, True)
    assert after.note.startswith("$10,000 to come")


def test_a_piece_that_comes_back_is_to_be_looked_at_and_then_settled(helper: User) -> None:
    made = delivered(opened(), at=NOON)
    announce(ReturnCall(sale=made, said_at=NOON + 2 * MINUTE, why="x"), by=None, at=NOON + 2 * MINUTE)
    page = reverse("sale", args=[made.number])
    (coming,) = part("sales", helper, NOON + 9 * DAY)
    assert coming.what.startswith("Coming back: ")
    assert coming.href == reverse("sale-inspection", args=[made.number])
    line = InspectionLine(what="Neck", alike=False, note="A crack")
    inspect(Inspection(sale=fresh(made), came_at=NOON + DAY), [line], by=None, at=NOON + DAY)
    (back,) = part("sales", helper, NOON + 9 * DAY)
    assert (back.what.partition(":")[0], back.href, back.over) == ("Return to settle", f"{page}#end", True)
    assert back.note.startswith("Not as it was sent")
    actions.end_without_sale(fresh(made), reason="x", money=received("12500.00"), by=None, at=NOON + 2 * DAY)
    assert whats("sales", helper, NOON + 9 * DAY) == []


def test_today_the_page_and_the_list_say_the_same_of_a_sale(helpers: Client, helper: User) -> None:
    lost = sent(opened(), at=NOON)
    record_loss(lost, what="It never came", claim="", by=None, at=NOON)
    actions.refund(fresh(lost), received("12500.00"), by=None, at=NOON)
    waiting = opened(deposit="12500.00")
    over = opened(deposit="12600.00", shipping="100.00")
    shipping = over.rows.get(kind="shipping")
    actions.mark_cleared(over.rows.get(kind="payment"), by=None, at=NOON)
    actions.reverse_row(shipping, reason="They fetch it", by=None, at=NOON)
    for made, line, sentence in (
        (lost, "Lost on the way", "Follow the claim"),
        (waiting, "Money to clear", "The bank is to make the money final"),
        (over, "Refund due", "Pay back what was paid too much"),
    ):
        whose = f": No. {made.instrument.stock_id}, "
        lines = [item.what.partition(":")[0] for item in part("sales", helper) if whose in item.what]
        assert lines == [line]
        assert sentence in helpers.get(reverse("sale", args=[made.number])).text
        assert sentence in helpers.get(reverse("sales")).text


def test_as_many_questions_are_asked_for_one_plan_as_for_many(
    sale: Sale, profile: ShopProfile, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    def more() -> None:
        another = opened()
        agree(another, schedule(1_000_000, 4, FIRST), note="", entry=entry(), by=None, at=NOON)
        gone = delivered(opened(), at=NOON)
        announce(ReturnCall(sale=gone, said_at=NOON + 2 * MINUTE, why="x"), by=None, at=NOON + 2 * MINUTE)

    more()
    with CaptureQueriesContext(connection) as asked:
        few = sales(profile, at=ENDS, owner=True)
    more(), more()
    with django_assert_num_queries(len(asked)):
        assert len(sales(profile, at=ENDS, owner=True)) > len(few)
