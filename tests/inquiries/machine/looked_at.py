"""What must hold after every deed, asked of the database in plain SQL and of the last sale in Python."""

from datetime import datetime

from django.db import connection

from inquiries.models import Sale
from inquiries.sales.queries import facts_of, with_rows
from inquiries.sales.rules import stage

# Each line is one thing that is false: its name, and the piece or the sale.
FALSE = """
SELECT 'two active holds', instrument_id FROM inquiries_hold WHERE state = 'active'
GROUP BY instrument_id HAVING COUNT(*) > 1
UNION ALL
SELECT 'two open sales', instrument_id FROM inquiries_sale WHERE ended_at IS NULL
GROUP BY instrument_id HAVING COUNT(*) > 1
UNION ALL
SELECT 'promised to two', instrument_id FROM (
    SELECT instrument_id FROM inquiries_hold
    WHERE state IN ('active', 'queued') AND starts_at <= %(at)s AND until > %(at)s
    UNION ALL SELECT instrument_id FROM inquiries_sale WHERE ended_at IS NULL
) promised GROUP BY instrument_id HAVING COUNT(*) > 1
UNION ALL
SELECT 'an active hold in a sale', h.instrument_id FROM inquiries_hold h
JOIN inquiries_sale s ON s.instrument_id = h.instrument_id AND s.ended_at IS NULL WHERE h.state = 'active'
UNION ALL
SELECT 'promised, and not listed', i.id FROM catalog_instrument i WHERE i.state <> 'listed' AND (
    EXISTS (SELECT 1 FROM inquiries_hold h WHERE h.instrument_id = i.id AND h.state IN ('active', 'queued')
        AND (h.until IS NULL OR h.until > %(at)s))
    OR EXISTS (SELECT 1 FROM inquiries_sale s LEFT JOIN inquiries_inspection n ON n.sale_id = s.id
        WHERE s.instrument_id = i.id AND s.ended_at IS NULL
        AND NOT (i.state = 'draft' AND COALESCE(n.verdict, '') = 'differs')))
UNION ALL
SELECT 'closed is not sold', i.id FROM catalog_instrument i WHERE
    (i.state = 'sold') <> EXISTS (SELECT 1 FROM inquiries_sale s WHERE s.instrument_id = i.id AND s.outcome = 'closed')
UNION ALL
SELECT 'an ended ledger is not nil', r.sale_id FROM inquiries_ledgerrow r
JOIN inquiries_sale s ON s.id = r.sale_id AND s.ended_at IS NOT NULL
GROUP BY r.sale_id HAVING SUM(CAST(ROUND(r.amount * 1000) AS BIGINT)) <> 0
UNION ALL
SELECT 'the buyer’s account is not the balance', w.sale_id FROM (
    SELECT sale_id, -CAST(ROUND(amount * 100) AS BIGINT) AS minor FROM inquiries_ledgerrow
    UNION ALL SELECT sale_id, minor FROM inquiries_posting WHERE debit = 'buyer'
    UNION ALL SELECT sale_id, -minor FROM inquiries_posting WHERE credit = 'buyer'
) w GROUP BY w.sale_id HAVING SUM(w.minor) <> 0
UNION ALL
SELECT 'a receipt for each amount', r.id FROM inquiries_ledgerrow r
LEFT JOIN inquiries_issuedpaper c ON c.row_id = r.id AND c.version = 1
WHERE r.kind IN ('deposit', 'payment') AND c.id IS NULL
"""

# How much stands in every table that a deed writes to; a refused deed leaves all of it as it was.
WRITTEN = (
    "shop_entry", "shop_job", "inquiries_hold", "inquiries_sale", "inquiries_ledgerrow", "inquiries_posting",
    "inquiries_issuedpaper", "inquiries_clearing", "inquiries_offerend", "inquiries_offer", "inquiries_plan",
    "inquiries_shipment", "inquiries_delivery", "inquiries_payout", "inquiries_returncall", "inquiries_inspection",
)  # fmt: skip
STATES = (
    "(SELECT COALESCE(SUM(id * LENGTH(state)), 0) FROM inquiries_hold)",
    "(SELECT COALESCE(SUM(id * LENGTH(stage)), 0) FROM inquiries_sale)",
    "(SELECT COALESCE(SUM(id * LENGTH(state) + revision), 0) FROM catalog_instrument)",
    "(SELECT COALESCE(SUM(last), 0) FROM shop_series)",
)
COUNTS = [f"(SELECT COUNT(*) FROM {table})" for table in WRITTEN]  # noqa: S608 - no word of others
FINGERPRINT = f"SELECT {', '.join([*COUNTS, *STATES])}"


def false_things(at: datetime) -> list[tuple[str, int]]:
    """Whatever is not as it must be."""
    with connection.cursor() as cursor:
        cursor.execute(FALSE, {"at": connection.ops.adapt_datetimefield_value(at)})
        return [(str(name), int(key)) for name, key in cursor.fetchall()]


def fingerprint() -> tuple[int, ...]:
    """What a refused deed must leave as it was."""
    with connection.cursor() as cursor:
        cursor.execute(FINGERPRINT)
        return tuple(cursor.fetchone())


def wrong_stage(at: datetime) -> str:
    """The sale that was touched last, if its stored stage is not what its rows say."""
    sale = with_rows(Sale.objects.order_by("-rows__pk")).first()
    if sale is None:
        return ""
    now = stage(facts_of(sale), at=at)
    fine = sale.stage == now.name or (sale.stage, now.name) == ("APPROVAL", "APPROVED")
    return "" if fine else f"sale {sale.number}: {sale.stage}, {now.name}"
