"""What the page of a sale shows of store credit and of a piece taken in trade."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from inquiries.credit.forms import CreditForm, TradeForm
from inquiries.credit.models import TradeIn
from inquiries.credit.queries import credit_of
from inquiries.sales.models import Sale
from inquiries.sales.rules import SaleFacts, Step, allowed
from shop.staff.models import User


def credit_panel(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any] | None:
    """What the buyer has, what was taken in trade, and the forms that may be used now."""
    has = credit_of(sale.contact, sale.currency)
    may_pay = allowed(Step.PAY, facts, at=at) and facts.balance > 0
    may_give = user.is_owner and allowed(Step.REFUND, facts, at=at) and facts.paid > 0
    trades = list(
        TradeIn.objects.filter(row__sale=sale).select_related("row__reversed_by", "instrument__kind")
    )
    if not (has or may_pay or may_give or trades):
        return None
    least = min(has.amount, max(facts.balance, Decimal(0)))
    return {
        "credit": has,
        "trades": trades,
        "use_form": CreditForm(currency=sale.currency, amount=least, auto_id="id_use_%s")
        if may_pay and has
        else None,
        "give_form": CreditForm(currency=sale.currency, auto_id="id_give_%s") if may_give else None,
        "trade_form": TradeForm(currency=sale.currency, auto_id="id_trade_%s")
        if may_pay and user.is_owner
        else None,
    }
