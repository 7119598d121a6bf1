"""The consignor's share reckoned a second time, by the database, in whole cents."""

import random
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection

from catalog.models import Cost
from inquiries.models import Sale
from inquiries.sales.queries import with_rows
from inquiries.sales.shares import share_due
from shop.models import ShopProfile
from tests.factories import NOON
from tests.inquiries.steps import opened
from tests.inquiries.test_consignment import agreed, consigned, spend

# A sum of whole numbers is no whole number on PostgreSQL, and division would not be in whole cents.
CENTS = "CAST(ROUND({} * 100) AS BIGINT)"
SQL = """
WITH charged AS (
    SELECT r.sale_id AS sale, CAST(SUM({amount}) AS BIGINT) AS price FROM inquiries_ledgerrow r
    LEFT JOIN inquiries_ledgerrow u ON u.id = r.reverses_id
    WHERE COALESCE(u.kind, r.kind) IN ('price', 'credit') GROUP BY r.sale_id
), inforce AS (
    SELECT s.id AS sale, s.instrument_id AS piece, c.price, (
        SELECT a.id FROM catalog_agreement a WHERE a.instrument_id = s.instrument_id AND a.starts <= %s
        ORDER BY a.starts DESC, a.id DESC LIMIT 1
    ) AS agreement FROM inquiries_sale s JOIN charged c ON c.sale = s.id
), borne AS (
    SELECT f.sale, CAST(COALESCE(SUM(CASE
        WHEN a.repairs_by = 'consignor' AND k.kind IN ('repair', 'parts', 'setup') THEN {cost}
        WHEN a.shipping_in_by = 'consignor' AND k.kind = 'shipping-in' THEN {cost}
        ELSE 0 END), 0) AS BIGINT) AS cents
    FROM inforce f JOIN catalog_agreement a ON a.id = f.agreement
    LEFT JOIN catalog_cost k ON k.instrument_id = f.piece GROUP BY f.sale
), counted AS (
    SELECT f.sale, f.price, f.agreement, b.cents AS borne, {least} AS least, CASE
        WHEN a.basis = 'gross' THEN f.price WHEN f.price > b.cents THEN f.price - b.cents ELSE 0 END AS basis
    FROM inforce f JOIN borne b ON b.sale = f.sale JOIN catalog_agreement a ON a.id = f.agreement
), tiers AS (
    SELECT t.agreement_id AS agreement, {above} AS above, CAST(ROUND(t.percent * 100) AS BIGINT) AS percent, (
        SELECT MIN(CAST(ROUND(n.above * 100) AS BIGINT)) FROM catalog_agreementtier n
        WHERE n.agreement_id = t.agreement_id AND n.above > t.above
    ) AS following FROM catalog_agreementtier t
), rated AS (
    SELECT c.sale, SUM((2 * percent * (CASE
        WHEN following IS NOT NULL AND c.basis > following THEN following ELSE c.basis END - above) + 10000
    ) / 20000) AS cents
    FROM counted c JOIN tiers t ON t.agreement = c.agreement AND c.basis > t.above GROUP BY c.sale
), commission AS (
    SELECT c.sale, c.price, c.borne, CASE
        WHEN COALESCE(r.cents, 0) < c.least AND c.least < c.price THEN c.least
        WHEN COALESCE(r.cents, 0) < c.least THEN c.price
        ELSE COALESCE(r.cents, 0) END AS cents
    FROM counted c LEFT JOIN rated r ON r.sale = c.sale
)
SELECT sale, CASE WHEN price - cents > borne THEN price - cents - borne ELSE 0 END FROM commission
"""


@pytest.mark.usefixtures("profile")
def test_python_and_the_database_agree_to_the_cent(profile: ShopProfile) -> None:
    """Forty sales on as many kinds of terms, the same ones each time."""
    dice = random.Random(1931)
    for _ in range(40):
        piece = consigned()
        for later in range(dice.randint(1, 2)):
            steps = sorted(dice.sample(range(50, 9000), dice.randint(0, 3)))
            tiers = [(above, dice.randint(0, 100)) for above in [0, *steps]]
            agreed(
                piece,
                *tiers,
                starts=date(2026, 1, 1) + timedelta(days=dice.randint(0, 300)) if later else date(2026, 1, 1),
                least=Decimal(dice.choice([0, 0, 150, 5000])),
                basis=dice.choice(["gross", "net"]),
                repairs_by=dice.choice(["shop", "consignor"]),
                shipping_in_by=dice.choice(["shop", "consignor"]),
            )
        for kind in dice.sample(Cost.Kind.values, 3):
            spend(piece, kind, f"{dice.randint(1, 90000) / 100:.2f}")
        price = f"{dice.randint(100, 1_200_000) / 100:.2f}"
        opened(instrument=piece, price=price, deposit="1.00")
    statement = SQL.format(
        amount=CENTS.format("r.amount"),
        cost=CENTS.format("k.amount"),
        least=CENTS.format("a.least"),
        above=CENTS.format("t.above"),
    )
    with connection.cursor() as cursor:
        cursor.execute(statement, [NOON.date()])
        by_sql = {sale: Decimal(int(cents)) / 100 for sale, cents in cursor.fetchall()}
    by_python = {sale.pk: share_due(sale, profile.zone) for sale in with_rows(Sale.objects.all())}
    assert by_sql == by_python
    assert len(by_python) == 40
    assert len(set(by_python.values())) > 20
