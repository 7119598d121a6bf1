"""Money that is not final at the bank neither goes back nor closes a sale."""

from datetime import timedelta
from decimal import Decimal

import pytest

from inquiries.credit.actions import give_credit
from inquiries.models import LedgerRow, Sale, Shipment
from inquiries.sales import actions
from inquiries.sales.proof import unbalanced
from shop.models import User
from shop.refusal import Refused
from tests.factories import NOON
from tests.inquiries.steps import MINUTE, entry, fresh, opened, received

pytestmark = pytest.mark.usefixtures("profile")
LATER = NOON + timedelta(days=5)
WAITS = r"\$2,500 received is not final at the bank, so you cannot {} now\. Mark it as cleared"


def test_what_is_not_final_is_not_paid_back_nor_given_as_credit() -> None:
    sale = opened()
    with pytest.raises(Refused, match=WAITS.format("refund money")):
        actions.refund(sale, received("100"), by=None, at=NOON)
    with pytest.raises(Refused, match=WAITS.format("refund money")):
        give_credit(sale, Decimal(100), entry=entry(), by=None, at=NOON)
    actions.mark_cleared(sale.rows.get(kind="deposit"), by=None, at=NOON)
    assert actions.refund(fresh(sale), received("100"), by=None, at=NOON)


@pytest.mark.parametrize("back", [None, "2500"])
def test_a_sale_does_not_fall_through_before_the_money_is_final_or_reversed(back: str | None) -> None:
    sale = opened()
    money = received(back) if back else None
    with pytest.raises(Refused, match=WAITS.format("let the sale fall through")):
        actions.end_without_sale(sale, reason="They changed their mind", money=money, by=None, at=NOON)
    actions.reverse_row(sale.rows.get(kind="deposit"), reason="Check handed back", by=None, at=NOON)
    ended = actions.end_without_sale(fresh(sale), reason="Changed their mind", money=None, by=None, at=NOON)
    assert fresh(ended).outcome == Sale.Outcome.FELL_THROUGH
    assert list(unbalanced()) == []


def test_a_sale_that_left_on_the_owners_word_closes_when_the_money_is_final(owner: User) -> None:
    sale = opened(deposit="12500", price="12500")
    parcel = Shipment(carrier="Mule Train", unpictured_reason="x", uncleared_reason="A buyer of twenty years")
    actions.ship(sale, parcel, by=owner, at=NOON)
    actions.deliver(fresh(sale), delivered_at=NOON + MINUTE, note="", by=None, at=NOON + MINUTE)
    with pytest.raises(Refused, match="is not final at the bank, so you cannot close the sale now"):
        actions.close_sale(fresh(sale), by=None, at=LATER)
    actions.mark_cleared(LedgerRow.objects.get(sale=sale, kind="payment"), by=None, at=LATER)
    actions.close_sale(fresh(sale), by=None, at=LATER)
    assert fresh(sale).outcome == Sale.Outcome.CLOSED
