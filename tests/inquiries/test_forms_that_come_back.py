"""A form that another desk was faster than comes back with what was typed, and with the reason."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Kind
from inquiries.models import Inspection, ReturnCall
from inquiries.returns.actions import announce, drop
from inquiries.sales import actions
from tests.factories import NOON
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import MINUTE, closed, delivered, entry, fresh, opened, received

TYPED = "As they said on the telephone"


def plan() -> dict[str, str]:
    """A plan of two instalments."""
    return {
        "count": "2",
        "first_on": "2026-07-01",
        "lines": "2026-07-01 5,000\n2026-08-01 5,000",
        "note": TYPED,
    }


def trade() -> dict[str, str]:
    """A piece in part payment."""
    return {"kind": str(Kind.objects.order_by("name")[0].pk), "description": TYPED, "value": "10"}


@pytest.mark.parametrize("deposit", ["2500.00", "12500.00"])
def test_a_plan_for_what_was_paid_meanwhile(owners: Client, clock: Clock, deposit: str) -> None:
    sale = opened(deposit=deposit)
    if deposit != "12500.00":
        actions.record_payment(sale, received("10000.00"), by=None, at=NOON)
    page = owners.post(reverse("sale-plan", args=[sale.number]), plan() | {"entry": entry()})
    assert page.status_code == 200
    assert "so you cannot agree on instalments now" in page.text
    assert TYPED in page.text
    assert "2026-08-01 5,000" in page.text
    assert 'id="plan"' not in owners.get(reverse("sale", args=[sale.number])).text


def test_forms_of_a_sale_that_ended_meanwhile(owners: Client, clock: Clock) -> None:
    sale = closed()
    credit = {"amount": "12.34", "note": TYPED}
    forms = {
        "sale-plan": plan(),
        "sale-credit-use": credit,
        "sale-credit-give": credit,
        "sale-trade": trade(),
    }
    for name, typed in forms.items():
        page = owners.post(reverse(name, args=[sale.number]), typed | {"entry": entry()})
        assert page.status_code == 200, name
        assert "The sale stands at “Closed”, so you cannot" in page.text, name
        assert TYPED in page.text, name
    shown = owners.get(reverse("sale", args=[sale.number])).text
    assert 'id="plan"' not in shown
    assert 'id="credit"' not in shown


def test_photographs_that_did_not_come(owners: Client, clock: Clock) -> None:
    page = owners.post(reverse("sale-photographs", args=[opened().number]), {"caption": TYPED})
    assert "No file came with that." in page.text
    assert TYPED in page.text


def test_what_was_compared_when_the_buyer_keeps_it_after_all(owners: Client, clock: Clock) -> None:
    sale = delivered(opened(), at=NOON)
    announce(ReturnCall(sale=sale, said_at=NOON + MINUTE, why="x"), by=None, at=NOON + MINUTE)
    drop(fresh(sale), why="It grew on them", by=None, at=NOON + 2 * MINUTE)
    clock.at = NOON + timedelta(hours=2)
    typed = {"rest": "on", "came_at": "2026-06-10T09:00", "note": TYPED}
    page = owners.post(reverse("sale-inspection", args=[sale.number]), typed)
    assert page.status_code == 200
    assert "so you cannot enter how it came back now" in page.text
    assert TYPED in page.text
    assert not Inspection.objects.exists()
