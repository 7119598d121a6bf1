"""The month agrees with the ledgers to the least unit: by Python from the rows, by SQL from the accounts."""

from datetime import timedelta
from decimal import Decimal

import pytest

from catalog.models import Cost
from inquiries.models import Sale
from inquiries.review.proof import Proved, proved
from inquiries.review.queries import rows_of
from inquiries.review.rules import Sums, figures
from shop.models import ShopProfile, User
from shop.months import Month
from tests.factories import NOON
from tests.inquiries.ledgers import drawn, surcharging
from tests.inquiries.steps import closed, opened

DAY = timedelta(days=1)


def by_rows(month: Month, shop: ShopProfile, at: object) -> Proved:
    """The figures of the month's page, without currencies that come to nothing."""
    found = figures(rows_of(month, shop, at=at))  # type: ignore[arg-type]

    def whole(sums: Sums) -> Sums:
        return {currency: amount for currency, amount in sums.items() if amount}

    return Proved(
        revenue=whole(found.revenue),
        landed=whole(found.landed),
        margin=whole(found.margin),
        owed_to_us=whole(found.owed_to_us),
        refunds_due=whole(found.refunds_due),
        shares_unpaid=whole(found.shares_unpaid),
        kept=whole(found.kept),
        closed=found.closed,
        returned=found.returned,
        fell_through=found.fell_through,
    )


@pytest.mark.parametrize("seed", [11, 12])
def test_both_ways_give_the_same_month_in_a_shop_of_any_history(
    seed: int, owner: User, profile: ShopProfile
) -> None:
    surcharging()
    shop = drawn(seed, owner, sales=9)
    ends = shop.at + DAY
    month, seen = Month.of(NOON, profile.zone), []
    while month.span(profile.zone)[0] < ends:
        for at in (ends, month.span(profile.zone)[0] + 9 * DAY):
            found = proved(month, profile, at=at)
            assert found == by_rows(month, profile, at)
            seen.append(found)
        month = Month.of(month.span(profile.zone)[1], profile.zone)
    assert sum(found.closed for found in seen)
    assert any(found.owed_to_us for found in seen)
    assert len({currency for found in seen for currency in {**found.margin, **found.owed_to_us}}) > 1


def test_revenue_is_the_price_alone(owner: User, profile: ShopProfile) -> None:
    surcharging()
    closed(shipping="180.50", deposit="500.00")
    opened(deposit="100.00")
    found = proved(Month.of(NOON, profile.zone), profile, at=NOON + DAY)
    assert Sale.objects.get(outcome="closed").rows.filter(kind="shipping").exists()
    assert found.revenue == {"USD": Decimal(12500)}
    assert found.owed_to_us == {"USD": Decimal(12400)}


def test_a_cost_in_a_currency_that_nothing_is_sold_in_is_counted_in_its_own_units(
    owner: User, profile: ShopProfile
) -> None:
    sale = closed(deposit="500.00")
    for currency, amount in (("JPY", "90000"), ("KWD", "12.50"), ("IQD", "7.25")):
        Cost.objects.create(
            instrument=sale.instrument, kind="repair", amount=Decimal(amount), currency=currency,
            on=NOON.date(), at=NOON,
        )  # fmt: skip
    month, at = Month.of(NOON, profile.zone), NOON + 20 * DAY
    found = proved(month, profile, at=at)
    assert found.landed == {"JPY": Decimal(90000), "KWD": Decimal("12.500"), "IQD": Decimal("7.250")}
    assert found == by_rows(month, profile, at)
