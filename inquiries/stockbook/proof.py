"""The figures of the book reckoned once more, by the database, in whole minor units: an answer to compare with.

It shares with the other way only where the shop lies, which rates cover that place, and the decimals of a currency.
"""

from decimal import Decimal
from typing import NamedTuple

from django.db import connection

from inquiries.sales.posting_rules import from_minor
from inquiries.sales.proof import minor_of
from inquiries.tax.queries import all_rates, place_of_shop
from shop.profile.models import ShopProfile


class Proved(NamedTuple):
    """What the database makes of one sold piece; None where the book has none."""

    stock: int
    invoice: str
    purchase: Decimal | None
    selling: Decimal
    margin: Decimal | None
    vat: Decimal | None


MILLION = 1_000_000  # a rate of 100 per cent, in parts of ten thousand of a per cent

SQL = """
WITH paid AS (
    SELECT instrument_id, currency, SUM({cost}) AS minor FROM catalog_cost
    WHERE kind = 'purchase' GROUP BY instrument_id, currency HAVING SUM({cost}) <> 0
), bought AS (
    SELECT instrument_id, MIN(currency) AS currency, MAX(minor) AS minor FROM paid
    GROUP BY instrument_id HAVING COUNT(*) = 1 AND MAX(minor) > 0
), ended AS (
    SELECT i.id AS item, i.stock_id AS stock, s.id AS sale, s.currency AS currency, {day} AS sold_on,
        CASE WHEN h.carrier <> '' AND h.country <> '' THEN h.country
            ELSE COALESCE(NULLIF(c.country, ''), %s) END AS country,
        a.invoice_number AS invoice, a.vat_charged AS with_vat,
        CASE WHEN h.id IS NOT NULL AND h.carrier = '' THEN 1 ELSE 0 END AS handed
    FROM catalog_instrument i
    JOIN catalog_acquisition a ON a.instrument_id = i.id AND a.how = 'bought'
    JOIN inquiries_sale s ON s.instrument_id = i.id AND s.outcome = 'closed'
    JOIN inquiries_contact c ON c.id = s.contact_id
    LEFT JOIN inquiries_shipment h ON h.sale_id = s.id
), charges AS (
    SELECT r.sale_id AS sale,
        SUM(CASE WHEN COALESCE(u.kind, r.kind) IN ('price', 'credit') THEN {row} ELSE 0 END) AS price,
        SUM(CASE WHEN COALESCE(u.kind, r.kind) = 'shipping' THEN {row} ELSE 0 END) AS shipping
    FROM inquiries_ledgerrow r LEFT JOIN inquiries_ledgerrow u ON u.id = r.reverses_id
    GROUP BY r.sale_id
), ruled AS (
    SELECT e.*, (
        SELECT p.id FROM inquiries_taxpolicy p WHERE p.starts <= e.sold_on
        ORDER BY p.starts DESC, p.id DESC LIMIT 1
    ) AS policy, (
        SELECT SUM(CAST(ROUND(t.percent * 10000) AS BIGINT)) FROM inquiries_taxrate t
        WHERE t.id IN ({covering}) AND t.starts <= e.sold_on AND NOT EXISTS (
            SELECT 1 FROM inquiries_taxrate l
            WHERE LOWER(l.jurisdiction) = LOWER(t.jurisdiction) AND l.starts <= e.sold_on
            AND (l.starts > t.starts OR l.starts = t.starts AND l.id > t.id)
        )
    ) AS rate FROM ended e
), summed AS (
    SELECT d.stock, d.invoice, d.with_vat, d.currency, d.country, d.handed, d.rate, p.scheme, p.inland,
        b.minor AS purchase,
        b.currency AS bought_in, COALESCE(g.price, 0)
            + CASE WHEN p.shipping_taxable THEN COALESCE(g.shipping, 0) ELSE 0 END AS selling
    FROM ruled d
    LEFT JOIN inquiries_taxpolicy p ON p.id = d.policy
    LEFT JOIN bought b ON b.instrument_id = d.item
    LEFT JOIN charges g ON g.sale = d.sale
)
SELECT stock, invoice, bought_in, currency, purchase, selling,
    CASE WHEN bought_in = currency THEN selling - purchase END AS margin,
    CASE
        WHEN bought_in IS NULL OR bought_in <> currency OR scheme IS NULL OR scheme <> 'vat-margin' THEN NULL
        WHEN with_vat OR {unknown} THEN NULL
        WHEN handed = 0 AND country <> %s AND (' ' || inland || ' ') NOT LIKE ('%% ' || country || ' %%') THEN 0
        WHEN rate IS NULL OR rate = 0 THEN NULL
        WHEN selling <= purchase THEN 0
        ELSE ((selling - purchase) * rate * 2 + {million} + rate) / (2 * ({million} + rate))
    END AS vat
FROM summed ORDER BY stock
"""


def proved(shop: ShopProfile) -> list[Proved]:
    """Every sold piece that the shop had bought, by stock number."""
    here = place_of_shop(shop)
    covering = [rate.key for rate in all_rates() if here and rate.covers(here)]
    day, day_params = connection.ops.datetime_cast_date_sql("s.ended_at", (), shop.time_zone)
    text = SQL.format(
        cost=minor_of("amount", "currency"),
        row=minor_of("r.amount", "r.currency"),
        day=day,
        covering=", ".join(map(str, covering)) or "NULL",
        unknown="1 = 1" if here is None else "1 = 0",
        million=MILLION,
    )
    with connection.cursor() as cursor:
        cursor.execute(text, [*day_params, shop.country, here.country if here else ""])
        return [_proved(*row) for row in cursor.fetchall()]


def _proved(
    stock: int, invoice: str, bought_in: str | None, currency: str,
    purchase: int | None, selling: int, margin: int | None, vat: int | None,
) -> Proved:  # fmt: skip
    """A row with its amounts in units: the purchase in the currency it was paid in, the others in that of the sale."""

    def units(minor: int | None, code: str) -> Decimal | None:
        return None if minor is None else from_minor(int(minor), code)

    return Proved(
        stock,
        invoice,
        units(purchase, bought_in or currency),
        from_minor(int(selling), currency),
        units(margin, currency),
        units(vat, currency),
    )
