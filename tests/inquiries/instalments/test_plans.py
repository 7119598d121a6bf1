"""Instalments of a sale: agreed once, paid in order, late, in default by the policy it was opened under."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from inquiries.desk.sale_page import proposed_refund
from inquiries.instalments.actions import agree
from inquiries.instalments.models import Plan
from inquiries.instalments.queries import payments_of
from inquiries.instalments.rules import Due, State, schedule
from inquiries.models import Sale
from inquiries.sales import actions
from shop.models import HousePolicy
from shop.refusal import Refused
from tests.factories import NOON, OwnerFactory
from tests.inquiries.steps import delivered, entry, fresh, opened, received

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
FIRST = date(2026, 7, 10)


@pytest.fixture
def sale() -> Sale:
    """12,500 with 2,500 down, opened on 10 June 2026 under a policy that keeps a tenth at default."""
    HousePolicy.objects.create(
        starts=date(2026, 1, 1), instalment_months=6, grace_days=7, default_keeps_percent=10, at=NOON
    )
    return opened()


def plan_for(sale: Sale, count: int = 4, **given: str) -> Plan:
    """Monthly instalments of the balance."""
    dues = schedule(1_000_000, count, FIRST)
    return agree(sale, dues, note="", entry=given.get("entry") or entry(), by=None, at=NOON)


def states(sale: Sale, *, days: int) -> list[State]:
    """How each stands so many days on."""
    found = payments_of(fresh(sale), at=NOON + days * DAY)
    assert found is not None
    return [row.state for row in found.rows]


def test_a_plan_is_paid_in_order_and_late_ones_are_seen(sale: Sale) -> None:
    plan_for(sale)
    assert states(sale, days=10) == [State.AHEAD] * 4
    late = (FIRST - NOON.date()).days + 1
    assert states(sale, days=late)[0] == State.LATE
    assert states(sale, days=late + 7)[0] == State.DEFAULT
    actions.record_payment(sale, received("2500.00"), by=None, at=NOON + DAY)
    assert states(sale, days=late + 7) == [State.PAID, State.AHEAD, State.AHEAD, State.AHEAD]


def test_a_payment_that_bounces_makes_it_late_again(sale: Sale) -> None:
    plan_for(sale)
    row = actions.record_payment(sale, received("2500.00"), by=None, at=NOON + DAY)
    actions.reverse_row(row, reason="Bounced", by=None, at=NOON + 2 * DAY)
    assert states(sale, days=40)[0] == State.DEFAULT


def test_two_presses_are_one_plan_and_a_later_one_takes_its_place(sale: Sale) -> None:
    token = entry()
    assert plan_for(sale, entry=token) == plan_for(sale, entry=token)
    plan_for(sale, 2)
    assert len(states(sale, days=1)) == 2
    assert Plan.objects.count() == 2


def test_a_plan_beyond_the_policy_is_refused_with_the_day(sale: Sale) -> None:
    with pytest.raises(Refused) as refusal:
        plan_for(sale, 7)
    assert f"{months(sale)}" in refusal.value.message


def months(sale: Sale) -> str:
    """The last day that the policy allows, in words."""
    return f"{date(2026, 12, NOON.day):%-d %B %Y}"


def test_a_later_policy_leaves_the_running_sale_alone(sale: Sale) -> None:
    HousePolicy.objects.create(starts=date(2026, 6, 1), instalment_months=0, at=NOON)
    assert plan_for(fresh(sale)).grace_days == 7


def test_no_plan_once_all_is_paid(sale: Sale) -> None:
    sent = delivered(sale, at=NOON)
    with pytest.raises(Refused) as refusal:
        plan_for(sent)
    assert refusal.value.code == "step-not-allowed"


def test_at_default_the_policy_proposes_what_is_kept(sale: Sale, monkeypatch: pytest.MonkeyPatch) -> None:
    plan_for(sale)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON + 60 * DAY)
    assert proposed_refund(fresh(sale)) == Decimal("2250.00")
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON + DAY)
    assert proposed_refund(fresh(sale)) == Decimal("2500.00")


def test_the_page_works_the_lines_out_and_loses_nothing(client: Client, sale: Sale) -> None:
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    first = date.today() + 20 * DAY  # noqa: DTZ011 - the site's own clock runs in this test
    address = reverse("sale-plan", args=[sale.number])
    typed = {"count": "3", "first_on": first.isoformat(), "entry": entry(), "note": "By standing order"}
    page = client.post(address, typed | {"look": "1"})
    lines = page.context["plan_form"]["lines"].value()
    assert lines.splitlines()[0] == f"{first.isoformat()} 3,333.34"
    assert not Plan.objects.exists()
    wrong = client.post(address, typed | {"lines": "soon 5,000"})
    assert "Line 1, “soon 5,000”, is no day and amount" in wrong.text
    assert "By standing order" in wrong.text
    Sale.objects.filter(pk=sale.pk).update(opened_at=NOON + (first - NOON.date()))
    assert client.post(address, typed | {"lines": lines}).status_code == 302
    assert Plan.objects.get().instalments.count() == 3
    assert Plan.objects.get().instalments.first().due_on == first


def test_a_plan_that_does_not_fit_the_balance_is_refused(sale: Sale) -> None:
    with pytest.raises(Refused) as refusal:
        agree(sale, [Due(FIRST, 5)], note="", entry=entry(), by=None, at=NOON)
    assert "$10,000" in refusal.value.message
