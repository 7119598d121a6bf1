"""When cash is to be reported: boundary tables, and the properties of the rule."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.cash.rules import Counts, Limit, Payment, counts, limit_on, related, reports
from shop.days import months_on

START = datetime(2026, 1, 10, 15, 0, tzinfo=UTC)
LIMIT = Limit(1, "US", date(1985, 1, 1), Decimal(10000), "USD", Decimal(10000))
PRICE = Decimal(30000)


def paid(amount: str, *, days: float = 0, sale: int = 1, method: str = "cash", key: int = 0) -> Payment:
    at = START + timedelta(days=days)
    return Payment(key, sale, at, at.date(), Decimal(amount), method, PRICE)


def due(*payments: Payment, limit: Limit = LIMIT) -> list[tuple[list[str], date]]:
    found = reports([replace(one, key=key) for key, one in enumerate(payments)], limit)
    return [([str(one.amount) for one in report.payments], report.due) for report in found]


@pytest.mark.parametrize(
    ("amounts", "expected"),
    [
        (["10000"], 0),
        (["10000.00"], 0),
        (["10000.01"], 1),
        (["5000", "5000"], 0),
        (["5000", "5000.01"], 1),
        (["9999.99", "0.01"], 0),
        (["9999.99", "0.02"], 1),
        ([], 0),
    ],
)
def test_above_the_limit_and_not_at_it(amounts: list[str], expected: int) -> None:
    assert len(due(*(paid(amount, days=day) for day, amount in enumerate(amounts)))) == expected


def test_the_report_is_due_fifteen_days_after_the_payment_that_passed_the_limit() -> None:
    assert due(paid("6000"), paid("6000", days=20)) == [(["6000", "6000"], date(2026, 2, 14))]


@pytest.mark.parametrize(
    ("second", "expected"),
    [
        (date(2027, 1, 9), 1),
        (date(2027, 1, 10), 1),  # the day that closes the twelve months counts: the cautious reading
        (date(2027, 1, 11), 0),
    ],
)
def test_payments_add_up_over_twelve_months(second: date, expected: int) -> None:
    assert len(due(paid("6000"), paid("6000", days=(second - START.date()).days))) == expected


def test_what_is_older_than_twelve_months_falls_out_and_the_rest_adds_up() -> None:
    found = due(paid("6000"), paid("4000", days=300), paid("6000.01", days=400))
    assert [amounts for amounts, _ in found] == [["4000", "6000.01"]]


def test_each_time_the_unreported_sum_passes_the_limit_is_a_new_report() -> None:
    """26 CFR 1.6050I-1(b), its example, from memory.

    11,000 on 10 January is reported by the 25th; 4,000 on 15 February, 6,000 on 20 March and 12,000 on 15 May together
    by 30 May.
    """
    days = [0, 36, 69, 125]
    payments = [
        paid(sum_, days=day) for sum_, day in zip(["11000", "4000", "6000", "12000"], days, strict=True)
    ]
    assert [one.day for one in payments] == [
        date(2026, 1, 10), date(2026, 2, 15), date(2026, 3, 20), date(2026, 5, 15)
    ]  # fmt: skip
    assert due(*payments) == [
        (["11000"], date(2026, 1, 25)),
        (["4000", "6000", "12000"], date(2026, 5, 30)),
    ]


@pytest.mark.parametrize(
    ("method", "amount", "expected"),
    [
        ("cash", "20000", Counts.CASH),
        ("cashiers-check", "10000", Counts.CHECK),
        ("cashiers-check", "10000.01", Counts.FACE),
        ("personal-check", "500", Counts.OWN),
        ("wire", "500", Counts.OWN),
        ("ach", "500", Counts.OWN),
        ("card", "500", Counts.OWN),
    ],
)
def test_what_counts_as_cash(method: str, amount: str, expected: Counts) -> None:
    assert counts(paid(amount, method=method), LIMIT) is expected


def test_a_cashiers_check_for_a_cheaper_piece_counts_by_the_cautious_default_alone() -> None:
    cheap = replace(paid("9000", method="cashiers-check"), sale_price=Decimal(10000))
    bold = replace(LIMIT, checks_at_any_price=False)
    assert counts(cheap, LIMIT) is Counts.CHECK
    assert counts(cheap, bold) is Counts.OWN
    assert counts(replace(cheap, sale_price=Decimal("10000.01")), bold) is Counts.CHECK


def test_cash_and_a_cashiers_check_add_up() -> None:
    assert len(due(paid("5000"), paid("6000", days=1, method="cashiers-check"))) == 1
    assert due(paid("5000"), paid("16000", days=1, method="cashiers-check")) == []


@pytest.mark.parametrize(
    ("apart", "expected"),
    [
        (timedelta(hours=1), 1),
        (timedelta(hours=24), 1),
        (timedelta(hours=24, seconds=1), 0),
    ],
)
def test_two_sales_are_related_within_twenty_four_hours(apart: timedelta, expected: int) -> None:
    days = apart / timedelta(days=1)
    assert len(due(paid("6000", sale=1), paid("6000", days=days, sale=2))) == expected


def test_a_chain_of_payments_joins_the_sales_with_all_that_was_paid_on_them() -> None:
    chain = [
        paid("3000", days=0, sale=1),
        paid("4000", days=10, sale=2),
        paid("1000", days=10.5, sale=1),
        paid("3000", days=40, sale=2),
    ]
    assert [len(group) for group in related(chain)] == [4]
    assert [amounts for amounts, _ in due(*chain)] == [["3000", "4000", "1000", "3000"]]


def test_the_rule_of_a_day() -> None:
    later = replace(LIMIT, key=2, starts=date(2027, 1, 1), amount=Decimal(12000))
    assert limit_on([later, LIMIT], date(2026, 12, 31)) == LIMIT
    assert limit_on([LIMIT, later], date(2027, 1, 1)) == later
    assert limit_on([LIMIT], date(1984, 12, 31)) is None


def test_a_payment_is_held_against_the_limit_of_its_day() -> None:
    later = replace(LIMIT, key=2, starts=date(2026, 2, 1), amount=Decimal(12000))
    payments = [
        replace(one, key=key)
        for key, one in enumerate([paid("11000"), paid("11000", days=40), paid("1000.01", days=41)])
    ]
    found = reports(payments, later, LIMIT)
    assert [(len(report.payments), report.limit.key) for report in found] == [(1, 1), (2, 2)]
    assert reports([paid("11000", days=-20_000)], LIMIT) == [], "before there was a rule"


def test_foreign_money_is_not_added_up() -> None:
    assert due(paid("6000"), replace(paid("6000", days=1), currency="EUR")) == []


def test_a_month_on() -> None:
    assert months_on(date(2024, 2, 29), 12) == date(2025, 2, 28)
    assert months_on(date(2026, 12, 31), 2) == date(2027, 2, 28)


many = st.lists(
    st.builds(
        lambda cents, hours, sale, method: paid(
            str(Decimal(cents) / 100), days=hours / 24, sale=sale, method=method
        ),
        st.integers(1, 2_000_000),
        st.integers(0, 20_000),
        st.integers(1, 3),
        st.sampled_from(["cash", "cashiers-check", "wire"]),
    ),
    max_size=25,
).map(lambda listed: [replace(one, key=key) for key, one in enumerate(listed)])


@given(many)
def test_every_report_is_above_the_limit_within_its_months_and_needs_its_last_payment(
    payments: list[Payment],
) -> None:
    found = reports(payments, LIMIT)
    told = [one.key for report in found for one in report.payments]
    assert len(told) == len(set(told)), "no payment is reported twice"
    for report in found:
        *before, last = report.payments
        assert sum(one.amount for one in report.payments) > LIMIT.amount
        assert sum(one.amount for one in before) <= LIMIT.amount
        assert last.day <= months_on(report.payments[0].day, 12)
        assert report.due == last.day + timedelta(days=15)


@given(many)
def test_the_order_in_which_payments_are_told_changes_nothing(payments: list[Payment]) -> None:
    assert reports(payments, LIMIT) == reports(payments[::-1], LIMIT)


@given(many)
def test_a_single_cash_payment_above_the_limit_is_always_in_a_report(payments: list[Payment]) -> None:
    told = {one.key for report in reports(payments, LIMIT) for one in report.payments}
    assert {one.key for one in payments if one.method == "cash" and one.amount > LIMIT.amount} <= told
