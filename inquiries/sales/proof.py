"""The accounts of every sale reckoned once more, by the database alone, from the rows of the ledger.

It shares with the other way only how many decimals a currency has. What the database must find: each account of each
sale holds what its rows, clearings and payouts come to; the buyer's account is the balance; a sale that has ended owes
nothing; only a closed sale has a consignor's share; who was paid is owed nothing more.
"""

from collections.abc import Iterator
from typing import NamedTuple

from django.db import connection

from inquiries.sales.posting_rules import from_minor
from shop.money import NOT_TWO, Money


class Unbalanced(NamedTuple):
    """One account of one sale that does not hold what it should. Both in minor units."""

    sale: str
    currency: str
    account: str
    should: int
    holds: int

    def __str__(self) -> str:
        should, holds = (
            Money(from_minor(minor, self.currency), self.currency) for minor in (self.should, self.holds)
        )
        return f"Sale {self.sale}, account “{self.account}”: it holds {holds} and should hold {should}."


SQL = """
WITH money AS (
    SELECT r.sale_id AS sale, COALESCE(u.kind, r.kind) AS kind, COALESCE(u.method, r.method) AS method,
        {row} AS minor
    FROM inquiries_ledgerrow r LEFT JOIN inquiries_ledgerrow u ON u.id = r.reverses_id
), final AS (
    SELECT r.sale_id AS sale, -({row}) AS quoted, COALESCE({booked}, -({row})) AS booked
    FROM inquiries_clearing c
    JOIN inquiries_ledgerrow r ON r.id = c.row_id
    LEFT JOIN inquiries_ledgerrow v ON v.reverses_id = r.id
    WHERE v.id IS NULL AND r.method <> 'cash'
), should AS (
    SELECT sale, 'buyer' AS account, minor FROM money
    UNION ALL
    SELECT sale, CASE
        WHEN kind IN ('price', 'credit') THEN 'sales'
        WHEN kind = 'restocking' THEN 'fees'
        WHEN kind = 'trade-in' THEN 'trade-ins'
        WHEN kind IN ('by-credit', 'to-credit') THEN 'credit'
        WHEN kind IN ('deposit', 'payment', 'refund') AND method = 'cash' THEN 'cash'
        WHEN kind IN ('deposit', 'payment') THEN 'received'
        WHEN kind = 'refund' THEN 'bank'
        ELSE kind END, -minor FROM money
    UNION ALL SELECT sale, 'received', -quoted FROM final
    UNION ALL SELECT sale, 'bank', booked FROM final
    UNION ALL SELECT sale, 'exchange', quoted - booked FROM final
    UNION ALL
    SELECT r.sale_id, CASE WHEN r.method = 'cash' THEN 'cash' ELSE 'bank' END, -({row}) FROM inquiries_payout r
), moved AS (
    SELECT p.sale_id AS sale, p.debit AS account, p.minor AS minor,
        CASE WHEN p.row_id IS NULL AND p.clearing_id IS NULL AND p.payout_id IS NULL THEN 1 ELSE 0 END AS closing
    FROM inquiries_posting p
    UNION ALL
    SELECT p.sale_id, p.credit, -p.minor,
        CASE WHEN p.row_id IS NULL AND p.clearing_id IS NULL AND p.payout_id IS NULL THEN 1 ELSE 0 END
    FROM inquiries_posting p
), both_ways AS (
    SELECT sale, account, minor AS should, 0 AS holds FROM should
    UNION ALL
    SELECT sale, account, 0, minor FROM moved WHERE closing = 0 AND account NOT IN ('consigned', 'consignor')
), ended AS (
    SELECT m.sale, m.account, 0 AS should, m.minor AS holds FROM moved m
    JOIN inquiries_sale s ON s.id = m.sale WHERE m.account = 'buyer' AND s.outcome <> ''
    UNION ALL
    SELECT m.sale, m.account, 0, m.minor FROM moved m
    JOIN inquiries_sale s ON s.id = m.sale
    LEFT JOIN inquiries_payout y ON y.sale_id = m.sale
    WHERE m.account = 'consignor' AND (s.outcome <> 'closed' OR y.id IS NOT NULL)
    UNION ALL
    SELECT m.sale, m.account, 0, m.minor FROM moved m
    JOIN inquiries_sale s ON s.id = m.sale WHERE m.closing = 1 AND s.outcome <> 'closed'
), strayed AS (
    SELECT p.sale_id AS sale, p.debit AS account, 0 AS should, p.minor AS holds
    FROM inquiries_posting p
    JOIN inquiries_sale s ON s.id = p.sale_id
    LEFT JOIN inquiries_ledgerrow r ON r.id = p.row_id
    LEFT JOIN inquiries_clearing c ON c.id = p.clearing_id
    LEFT JOIN inquiries_ledgerrow k ON k.id = c.row_id
    LEFT JOIN inquiries_payout y ON y.id = p.payout_id
    WHERE p.currency <> s.currency OR COALESCE(r.sale_id, k.sale_id, y.sale_id, p.sale_id) <> p.sale_id
), wrong AS (
    SELECT sale, account, SUM(should) AS should, SUM(holds) AS holds FROM both_ways
    GROUP BY sale, account HAVING SUM(should) <> SUM(holds)
    UNION
    SELECT sale, account, SUM(should), SUM(holds) FROM ended
    GROUP BY sale, account HAVING SUM(should) <> SUM(holds)
    UNION
    SELECT sale, account, should, holds FROM strayed
)
SELECT s.number, s.currency, w.account, w.should, w.holds FROM wrong w
JOIN inquiries_sale s ON s.id = w.sale ORDER BY s.number, w.account, w.should, w.holds
"""


def minor_of(amount: str, currency: str) -> str:
    """The SQL that makes an amount whole minor units, by the currency that stands beside it."""
    odd = " ".join(f"WHEN {currency} IN ({codes}) THEN {10**digits}" for digits, codes in _not_two())
    return f"CAST(ROUND({amount} * CASE {odd} ELSE 100 END) AS BIGINT)"


def unbalanced() -> list[Unbalanced]:
    """Every account that does not hold what the rows come to, by sale; none is as it should be."""
    text = SQL.format(row=minor_of("r.amount", "r.currency"), booked=minor_of("c.amount", "r.currency"))
    with connection.cursor() as cursor:
        cursor.execute(text)
        return [
            Unbalanced(number, currency, account, int(should), int(holds))
            for number, currency, account, should, holds in cursor.fetchall()
        ]


def _not_two() -> Iterator[tuple[int, str]]:
    """The currencies with other than two decimals, whatever is sold in: costs may be in one that no sale is in."""
    for digits in sorted(set(NOT_TWO.values())):
        yield digits, ", ".join(f"'{code}'" for code, found in sorted(NOT_TWO.items()) if found == digits)
