"""The same store credit used at one moment in two sales, with real threads."""

import threading
from decimal import Decimal

from django.db import connection

from inquiries.credit.actions import give_credit, pay_by_credit
from inquiries.models import Sale
from shop.refusal import Refused
from tests.factories import NOON
from tests.inquiries.steps import cleared, entry, opened


def test_the_same_credit_is_not_used_in_two_sales_at_once(transactional_db: None) -> None:
    first = cleared(opened())
    give_credit(first, Decimal(100), entry=entry(), by=None, at=NOON)
    sales = [opened(contact=first.contact) for _ in range(2)]
    start, outcomes = threading.Barrier(2), []

    def use(sale: Sale) -> None:
        start.wait()
        try:
            pay_by_credit(sale, Decimal(100), entry=entry(), by=None, at=NOON)
            outcomes.append("used")
        except Refused as refused:
            outcomes.append(refused.code)
        finally:
            connection.close()

    threads = [threading.Thread(target=use, args=[sale]) for sale in sales]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["not-enough-credit", "used"]
