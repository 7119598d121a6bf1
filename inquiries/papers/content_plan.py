"""A plan of instalments, from the plan that was agreed last."""

from decimal import Decimal
from itertools import accumulate

from inquiries.instalments.queries import dues_of
from inquiries.instalments.rules import standing
from inquiries.papers.content_common import Content, Matter, account, addressed, money, piece, spoken_day
from inquiries.sales.posting_rules import from_minor, in_minor
from inquiries.sales.queries import facts_of, paid
from shop.refusal import Refused


def plan(matter: Matter) -> Content:
    """What stands on it, with what came in since. Refused while nothing is agreed, or the plan asks for another sum.

    What was charged or taken back since it was agreed makes it another sum.
    """
    sale = matter.sold
    agreed = sale.plans.prefetch_related("instalments").order_by("at", "pk").last()
    if agreed is None:
        raise Refused("No instalments are agreed on this sale. Write the plan down first.", code="no-plan")
    rows = list(agreed.instalments.all())
    whole = sum((row.amount for row in rows), Decimal(0))
    since = paid(row for row in sale.rows.all() if row.at > agreed.at)
    owed = facts_of(sale).balance
    if owed + since != whole:
        raise Refused(
            f"The plan was made for {money(whole, agreed.currency)}, and {money(owed + since, sale.currency)} would be "
            "owed by now without what came in for it: something was charged or taken back since. Write a new plan down "
            "for the balance.",
            code="other-balance",
        )
    came = [
        row.paid
        for row in standing(dues_of(agreed), in_minor(since, agreed.currency), on=matter.today, grace=0)
    ]
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
            [
                spoken_day(row.due_on) + _came_in(minor, agreed.currency),
                money(row.amount, agreed.currency),
                money(rest, agreed.currency),
            ]
            for row, rest, minor in zip(rows, left, came, strict=True)
        ],
        "sums": [
            ["The plan in all", money(whole, agreed.currency)],
            *account(list(sale.rows.all()), sale.currency),
        ],
        "terms": [*terms, *([agreed.note] if agreed.note else [])],
    }


def _came_in(minor: int, currency: str) -> str:
    """The line below a day: what came in for it."""
    return f"\n{money(from_minor(minor, currency), currency)} came in" if minor else ""


def _days(many: int) -> str:
    return "one day" if many == 1 else f"{many} days"
