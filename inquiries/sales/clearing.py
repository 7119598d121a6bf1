"""What the bank does with money received: its steps, and whether goods may leave before it is final."""

from datetime import date, datetime

from django.db import transaction

from inquiries.sales.bank_rules import steps_left
from inquiries.sales.ledger_models import BankStep, LedgerRow
from inquiries.sales.queries import awaits_clearing
from inquiries.sales.rules import SaleFacts, Step
from inquiries.sales.steps import check, locked
from shop.history.actions import record
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def note_step(row: LedgerRow, step: str, *, on: date, note: str, by: User | None, at: datetime) -> BankStep:
    """Note what the bank did with money that is not final. Noted twice it is one step.

    Raises Refused for a step that this kind of money does not take, one that is behind it, or a day that cannot be.
    """
    sale = locked(row.sale)
    if before := BankStep.objects.filter(row=row, step=step).first():
        return before
    check(sale, Step.CLEAR, at=at)
    row = sale.rows.get(pk=row.pk)
    taken = list(row.bank_steps.all())
    if not awaits_clearing(row) or step not in steps_left(row.method, [one.step for one in taken]):
        raise Refused(
            "The bank does not take this step with this money any more. The page shows how it stands.",
            code="no-such-step",
        )
    zone = the_shop().zone
    since = [*(one.on for one in taken), (row.received_at or row.at).astimezone(zone).date()]
    if not max(since) <= on <= at.astimezone(zone).date():
        raise Refused(
            f"The day must lie between {max(since):%-d %B %Y} and today. Check the day.", code="day-of-step"
        )
    found = BankStep.objects.create(row=row, step=step, on=on, note=note, by=by, at=at)
    record(sale, "noted", by=by, at=at, field=row.get_kind_display(), new=found.get_step_display())
    return found


def check_money_final(facts: SaleFacts, reason: str, *, by: User | None) -> None:
    """Raise Refused when goods would leave on money that is not final: only the owner may say why they do."""
    if not facts.uncleared:
        return
    if not reason:
        raise Refused(
            "Money received has not cleared. Mark it as cleared first, or the owner writes down why it leaves before.",
            code="uncleared",
        )
    if by is None or not by.is_owner:
        raise Refused(
            "Money received has not cleared, and only the owner may let the piece go before. Ask the owner to record "
            "it with the reason, or wait until the bank says that the money is final.",
            code="owner-only",
        )
