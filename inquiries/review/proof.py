"""The month's sums of money reckoned once more, by the database, from the accounts: an answer to compare with.

Revenue is what the account “Sales” has earned of the sales that closed, before tax that lies inside the price is taken
out of it. Shipping, tax on top, surcharges and fees are no revenue. What was kept of a sale that did not go is all that
those accounts have left of it together. The consignor's share is what the closing booked.
"""

from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from django.db import connection

from inquiries.sales.posting_rules import from_minor
from inquiries.sales.proof import minor_of
from shop.models import ShopProfile
from shop.months import Month

Sums = dict[str, Decimal]


class Proved(NamedTuple):
    """What the database makes of a month; a currency without an amount is left out."""

    revenue: Sums
    landed: Sums
    margin: Sums
    owed_to_us: Sums
    refunds_due: Sums
    shares_unpaid: Sums
    kept: Sums
    closed: int
    returned: int
    fell_through: int


MOVED = """
WITH moved AS (
    SELECT sale_id AS sale, debit AS account, minor, row_id, at FROM inquiries_posting
    UNION ALL SELECT sale_id, credit, -minor, row_id, at FROM inquiries_posting
)
"""
REVENUE = """
SELECT s.currency, -SUM(m.minor) FROM moved m JOIN inquiries_sale s ON s.id = m.sale
WHERE m.account = 'sales' AND m.row_id IS NOT NULL AND s.outcome = 'closed'
    AND s.ended_at >= %s AND s.ended_at < %s
GROUP BY s.currency
"""
LANDED = """
SELECT currency, SUM(minor) FROM (
    SELECT s.currency AS currency, m.minor AS minor FROM moved m JOIN inquiries_sale s ON s.id = m.sale
    WHERE m.account = 'consigned' AND s.outcome = 'closed' AND s.ended_at >= %s AND s.ended_at < %s
    UNION ALL
    SELECT c.currency, {cost} FROM catalog_cost c JOIN inquiries_sale s ON s.instrument_id = c.instrument_id
    WHERE s.outcome = 'closed' AND s.ended_at >= %s AND s.ended_at < %s
) paid GROUP BY currency
"""
OWED = """
SELECT currency, SUM(owed) FROM (
    SELECT s.currency AS currency, {sign} * SUM(m.minor) AS owed FROM moved m JOIN inquiries_sale s ON s.id = m.sale
    WHERE m.account = 'buyer' AND s.opened_at < %s AND (s.ended_at IS NULL OR s.ended_at >= %s) AND m.at < %s
    GROUP BY s.id, s.currency
) each_sale WHERE owed > 0 GROUP BY currency
"""
SHARES = """
SELECT s.currency, -SUM(m.minor) FROM moved m JOIN inquiries_sale s ON s.id = m.sale
WHERE m.account = 'consignor' AND s.outcome = 'closed' AND s.ended_at < %s AND m.at < %s
GROUP BY s.currency
"""
KEPT = """
SELECT s.currency, -SUM(m.minor) FROM moved m JOIN inquiries_sale s ON s.id = m.sale
WHERE m.account IN ('sales', 'shipping', 'tax', 'surcharge', 'fees')
    AND s.outcome IN ('returned', 'fell-through') AND s.ended_at >= %s AND s.ended_at < %s
GROUP BY s.currency
"""
COUNTED = """
SELECT outcome, COUNT(*) FROM inquiries_sale WHERE ended_at >= %s AND ended_at < %s GROUP BY outcome
"""


def proved(month: Month, shop: ShopProfile, *, at: datetime) -> Proved:
    """The sums of `month`, as at its end or as at `at` while it runs."""
    start, end = month.span(shop.zone)
    cut = min(end, at)
    counted = dict(_asked(COUNTED, start, end))
    revenue = _sums(MOVED + REVENUE, start, end)
    landed = _sums(MOVED + LANDED.format(cost=minor_of("c.amount", "c.currency")), start, end, start, end)
    margin = {
        key: revenue.get(key, Decimal(0)) - landed.get(key, Decimal(0)) for key in {**revenue, **landed}
    }
    return Proved(
        revenue=revenue,
        landed=landed,
        margin={key: amount for key, amount in margin.items() if amount},
        owed_to_us=_sums(MOVED + OWED.format(sign=1), cut, cut, cut),
        refunds_due=_sums(MOVED + OWED.format(sign=-1), cut, cut, cut),
        shares_unpaid=_sums(MOVED + SHARES, cut, cut),
        kept=_sums(MOVED + KEPT, start, end),
        closed=int(counted.get("closed", 0)),
        returned=int(counted.get("returned", 0)),
        fell_through=int(counted.get("fell-through", 0)),
    )


def _sums(text: str, *instants: datetime) -> Sums:
    return {
        currency: from_minor(int(minor), currency) for currency, minor in _asked(text, *instants) if minor
    }


def _asked(text: str, *instants: datetime) -> list[tuple[str, int]]:
    values = [connection.ops.adapt_datetimefield_value(instant) for instant in instants]
    with connection.cursor() as cursor:
        cursor.execute(text, values)
        return list(cursor.fetchall())
