"""That a report of cash was filed: written down once, shown with the caution, and missed where it lacks."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from inquiries.cash.actions import file_report
from inquiries.cash.queries import cautions_open
from inquiries.models import CashReport, LedgerRow
from inquiries.review.due import due_today
from inquiries.sales.actions import record_payment, reverse_row
from inquiries.sales.steps import Received
from shop.facts import FactIsFixed
from shop.models import Entry, ShopProfile, User
from shop.refusal import Refused
from tests.factories import NOON
from tests.inquiries.cash.test_pages import DAY, paid_in_cash
from tests.inquiries.conftest import BACKEND, Clock
from tests.inquiries.steps import entry, fresh

PASSED = NOON + 2 * DAY  # the second payment of `paid_in_cash`, on 12 June; the report is due on 27 June


def passing() -> LedgerRow:
    """The payment that passed the limit."""
    sale = paid_in_cash("6000.00", "7000.00")
    return sale.rows.get(amount=-7000)


def press(browser: Client, row: LedgerRow, **given: str) -> str:
    address = reverse("cash-report-filed", args=[row.pk])
    return browser.post(address, {"filed_on": "2026-06-12", "note": "No. 7", **given}, follow=True).text


def test_the_owner_writes_down_once_that_a_report_was_filed(
    owners: Client, owner: User, helpers: Client, profile: ShopProfile, clock: Clock
) -> None:
    row = passing()
    clock.on(days=3)
    assert "The report is filed" in owners.get(reverse("sale", args=[row.sale.number])).text
    assert "The report is filed" not in helpers.get(reverse("sale", args=[row.sale.number])).text
    for _ in range(2):
        text = press(owners, row)
    report = CashReport.objects.get()
    assert (report.row, report.filed_on, report.note, report.by) == (row, date(2026, 6, 12), "No. 7", owner)
    assert Entry.objects.filter(verb="cash report filed").count() == 1
    assert f"Filed on 12 June 2026, by {owner}.</b> No. 7" in text
    assert "The report is filed" not in text
    for browser in (owners, helpers):
        assert "Filed on 12 June 2026" in browser.get(reverse("contact", args=[row.sale.contact_id])).text
    with pytest.raises(FactIsFixed):
        report.save()


def test_it_is_the_owners_to_write_down(helpers: Client, profile: ShopProfile) -> None:
    row = passing()
    address = reverse("cash-report-filed", args=[row.pk])
    assert helpers.post(address, {"filed_on": "2026-06-12"}).status_code == 403
    assert not CashReport.objects.exists()


@pytest.mark.parametrize("day", ["2026-06-11", "2026-06-14", "soon"])
def test_a_day_on_which_it_cannot_have_been_filed_is_refused_and_kept(
    owners: Client, profile: ShopProfile, clock: Clock, day: str
) -> None:
    row = passing()
    clock.on(days=3)
    text = press(owners, row, filed_on=day)
    assert "Check the day." in text or "Enter a valid date." in text
    assert f'value="{day}"' in text
    assert 'value="No. 7"' in text
    assert not CashReport.objects.exists()


def test_only_for_the_payment_that_passed_the_limit(profile: ShopProfile) -> None:
    sale = paid_in_cash("6000.00", "7000.00")
    first = sale.rows.get(amount=-6000)
    with pytest.raises(Refused) as refusal:
        file_report(first, filed_on=PASSED.date(), note="", by=None, at=PASSED)
    assert refusal.value.code == "no-report"


def test_a_report_stays_readable_when_its_payment_is_reversed(
    owners: Client, profile: ShopProfile, clock: Clock
) -> None:
    row = passing()
    file_report(row, filed_on=PASSED.date(), note="No. 7", by=None, at=PASSED)
    reverse_row(row, reason="A wrong note", by=None, at=PASSED)
    clock.on(days=3)
    text = owners.get(reverse("contact", args=[row.sale.contact_id])).text
    assert "Filed on 12 June 2026, for the payment of" in text
    assert "which calls for no report any longer. No. 7" in text


def test_one_that_is_overdue_is_marked_and_today_says_so_to_the_owner(
    owners: Client, owner: User, helper: User, profile: ShopProfile, clock: Clock
) -> None:
    row = passing()
    due = NOON.replace(day=27)
    for at, over in ((due, False), (due + DAY, True)):
        part = next(part for part in due_today(user=owner, at=at) if part.slug == "cash")
        (item,) = part.items
        assert item.over is over
        assert item.href == f"{reverse('sale', args=[row.sale.number])}#cash-{row.pk}"
        assert str(row.sale.contact) in item.what
    assert not [part for part in due_today(user=helper, at=due) if part.slug == "cash"]
    clock.on(days=18)
    owners.force_login(owner, backend=BACKEND)  # after so many days one logs in again
    assert "Overdue" in owners.get(reverse("sale", args=[row.sale.number])).text
    file_report(row, filed_on=due.date(), note="", by=None, at=due + DAY)
    assert not [part for part in due_today(user=owner, at=due + DAY) if part.slug == "cash"]
    assert "Overdue" not in owners.get(reverse("sale", args=[row.sale.number])).text


def test_it_is_asked_for_all_in_a_fixed_number_of_questions(
    profile: ShopProfile, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for many in (1, 3):
        while CashReport.objects.count() + len(cautions_open(profile, at=PASSED)) < many:
            passing()
        with django_assert_num_queries(4):
            assert len(cautions_open(profile, at=PASSED)) == many
    filed = fresh(LedgerRow.objects.filter(amount=-7000).earliest("pk").sale).rows.get(amount=-7000)
    file_report(filed, filed_on=PASSED.date(), note="", by=None, at=PASSED + timedelta(hours=1))
    assert len(cautions_open(profile, at=PASSED)) == 2


def test_a_report_may_be_filed_on_the_day_the_money_came_in_though_it_was_written_down_later(
    profile: ShopProfile,
) -> None:
    sale = paid_in_cash("6000.00")
    came, noted = (NOON + 2 * DAY).date(), NOON + 3 * DAY
    money = Received(Decimal(7000), "cash", entry(), on=came)
    row = record_payment(fresh(sale), money, by=None, at=noted)
    with pytest.raises(Refused, match="between the day the money came in and today"):
        file_report(row, filed_on=came - DAY, note="", by=None, at=noted)
    assert file_report(row, filed_on=came, note="", by=None, at=noted).filed_on == came
