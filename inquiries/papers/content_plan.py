"""A plan of instalments, from the plan that was agreed last."""

from decimal import Decimal
from itertools import accumulate

from inquiries.papers.content_common import Content, Matter, account, addressed, money, piece, spoken_day
from shop.refusal import Refused


def plan(matter: Matter) -> Content:
    """What stands on it. Refused while nothing is agreed, or a plan asks for another sum than is owed."""
    sale = matter.sold
    agreed = sale.plans.prefetch_related("instalments").order_by("at", "pk").last()
    if agreed is None:
        raise Refused("No instalments are agreed on this sale. Write the plan down first.", code="no-plan")
    rows = list(agreed.instalments.all())
    whole = sum((row.amount for row in rows), Decimal(0))
    left = [whole - so_far for so_far in accumulate(row.amount for row in rows)]
    terms = [
        f"An instalment that comes more than {_days(agreed.grace_days)} after its day puts the plan in default.",
        "It leaves the shop when all of it is paid, and the money is final at the bank.",
    ]
    if kept := sale.terms.default_keeps_percent:
        terms.append(
            f"At default, {kept.normalize():f} per cent of what was paid may be kept, where the law allows it."
        )
    return {
        "to": addressed("Agreed with", matter),
        "piece": piece("For", matter),
        "rows": [
            [spoken_day(row.due_on), money(row.amount, agreed.currency), money(rest, agreed.currency)]
            for row, rest in zip(rows, left, strict=True)
        ],
        "sums": [
            ["The plan in all", money(whole, agreed.currency)],
            *account(list(sale.rows.all()), sale.currency),
        ],
        "terms": [*terms, *([agreed.note] if agreed.note else [])],
    }


def _days(many: int) -> str:
    return "one day" if many == 1 else f"{many} days"
