"""What a refusal of a sale says: why it cannot be done, and what to do. Common practice, no source."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from inquiries.credit.actions import give_credit, pay_by_credit
from inquiries.instalments.actions import agree
from inquiries.instalments.rules import schedule
from inquiries.sales import actions
from inquiries.sales.rules import ALLOWED, SaleFacts, Stage, Step, allowed, stage
from inquiries.sales.steps import check
from inquiries.sales.way_rules import instead
from shop.models import HousePolicy
from shop.refusal import Refused
from tests.factories import NOON, ShopFactory
from tests.inquiries.steps import cleared, closed, delivered, entry, fresh, opened, received, settle

Deed = Callable[[], object]
BEGIN_ANEW = "A sale that has ended stays as it is; what comes after it begins with a new hold."


def said(deed: Deed) -> str:
    """The sentence with which a deed is refused."""
    with pytest.raises(Refused) as refusal:
        deed()
    return refusal.value.message


@pytest.fixture
def shop() -> None:
    """A shop whose policy has neither a surcharge nor instalments."""
    ShopFactory()
    HousePolicy.objects.create(starts=NOON.date() - timedelta(days=90), instalment_months=0, at=NOON)


def test_a_step_that_is_not_allowed_names_the_stage_and_what_is_next(db: None, shop: None) -> None:
    for sale, step, tail in (
        (opened(), Step.SHIP, "Next: The balance is to come from the buyer."),
        (
            opened(deposit="12500.00"),
            Step.PAY,
            "Next: The bank is to make the money final; then mark it as cleared.",
        ),
        (settle(opened(), at=NOON), Step.CLOSE, "Next: Pack it, and record the parcel or the collection."),
        (delivered(opened(), at=NOON), Step.CLOSE, "Next: The approval period runs."),
        (fresh(closed()), Step.PAY, BEGIN_ANEW),
    ):
        found = said(lambda sale=sale, step=step: check(sale, step, at=NOON))
        assert found.startswith("The sale stands at “")
        assert found.endswith(f"”, so you cannot {step} now. {tail}")


def test_at_every_stage_there_is_something_else_to_do() -> None:
    nothing = SaleFacts(Decimal(0), Decimal(0), Decimal(0), 48)
    at = {"shipped_at": NOON, "delivered_at": NOON}
    stages = {
        Stage.DEPOSIT: replace(nothing, charged=Decimal(1)),
        Stage.PAID: nothing,
        Stage.SHIPPED: replace(nothing, shipped_at=NOON),
        Stage.LOST: replace(nothing, shipped_at=NOON, lost_at=NOON),
        Stage.APPROVAL: replace(nothing, **at),
        Stage.APPROVED: replace(nothing, approval_hours=0, **at),
        Stage.COMING_BACK: replace(nothing, returning_at=NOON, **at),
        Stage.BACK: replace(nothing, returning_at=NOON, inspected_at=NOON, **at),
        Stage.CLOSED: replace(nothing, outcome="closed"),
        Stage.RETURNED: replace(nothing, outcome="returned"),
        Stage.FELL_THROUGH: replace(nothing, outcome="fell-through"),
    }
    assert set(stages) == set(Stage)
    for name, facts in stages.items():
        assert stage(facts, at=NOON) == name
        ended = {step for step in ALLOWED if allowed(step, facts, at=NOON)} == {Step.CLEAR}
        assert (instead(facts, at=NOON) == BEGIN_ANEW) is ended
        assert instead(facts, at=NOON).endswith(".")


def test_each_refusal_says_what_to_do(db: None, shop: None) -> None:
    sale = opened()
    price, deposit = sale.rows.get(kind="price"), sale.rows.get(kind="deposit")
    cash = actions.record_payment(sale, received("100.00", "cash"), by=None, at=NOON)
    undone = actions.record_payment(sale, received("50.00"), by=None, at=NOON)
    actions.reverse_row(undone, reason="Typed twice", by=None, at=NOON)
    card = replace(received("100.00", "card"), surcharge=True)
    dues = schedule(990_000, 3, NOON.date() + timedelta(days=9))
    ends: dict[str, Deed] = {
        "Pay back $2,600 at most; the ledger shows what came in.": lambda: actions.refund(
            sale, received("2600.01"), by=None, at=NOON
        ),
        "Pay back $2,600 at most; the ledger shows what came in. ": lambda: give_credit(
            sale, Decimal(2601), entry=entry(), by=None, at=NOON
        ),
        "Add the row that is right instead.": lambda: actions.reverse_row(
            undone, reason="Again", by=None, at=NOON
        ),
        "Choose the row of a payment.": lambda: actions.mark_cleared(price, by=None, at=NOON),
        "Choose a payment that waits for the bank.": lambda: actions.mark_cleared(cash, by=None, at=NOON),
        "Leave the amount out.": lambda: actions.mark_cleared(deposit, booked=Decimal(9), by=None, at=NOON),
        "Take the surcharge away; one in the house policy counts for later sales.": lambda: (
            actions.record_payment(sale, card, by=None, at=NOON)
        ),
        "Ask for the balance at once; what the owner changes in the policy counts for later sales.": lambda: (
            agree(sale, dues, note="", entry=entry(), by=None, at=NOON)
        ),
        "Close the sale first, if it is one.": lambda: actions.pay_consignor(
            sale, method="wire", by=None, at=NOON
        ),
        "Take that much of it at most; what is owed besides comes as a payment.": lambda: pay_by_credit(
            sale, Decimal(5), entry=entry(), by=None, at=NOON
        ),
    }
    for end, deed in ends.items():
        assert said(deed).endswith(end.strip())


def test_credit_that_was_used_elsewhere_is_reversed_there_first(db: None, shop: None) -> None:
    sale = cleared(opened())
    given = give_credit(sale, Decimal(100), entry=entry(), by=None, at=NOON)
    other = opened(contact=sale.contact)
    pay_by_credit(other, Decimal(60), entry=entry(), by=None, at=NOON)
    found = said(lambda: actions.reverse_row(given, reason="Mistaken", by=None, at=NOON))
    assert found.endswith("which is less than $100. The rest has been used: reverse it there first.")
