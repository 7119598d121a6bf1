"""Double entry by the table: which account gives, which receives, and that nothing is ever lost on the way."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.models import LedgerRow, Posting
from inquiries.sales.bank_rules import CAUTIONS, PRACTICE, STEPS, steps_left
from inquiries.sales.money_rules import Quoted, comes_to, day_refused, may_count_as, surcharge_on
from inquiries.sales.posting_rules import (
    Entry,
    accounts,
    from_minor,
    in_minor,
    of_clearing,
    of_closing,
    of_payout,
    of_row,
    opposite,
)

# Common practice of bookkeeping, no source. (kind, method, sign of the row) → (receives, gives).
TABLE = [
    ("price", "", 1, "buyer", "sales"),
    ("shipping", "", 1, "buyer", "shipping"),
    ("tax", "", 1, "buyer", "tax"),
    ("tax", "", -1, "tax", "buyer"),
    ("surcharge", "", 1, "buyer", "surcharge"),
    ("restocking", "", 1, "buyer", "fees"),
    ("credit", "", -1, "sales", "buyer"),
    ("deposit", "wire", -1, "received", "buyer"),
    ("deposit", "ach", -1, "received", "buyer"),
    ("payment", "cashiers-check", -1, "received", "buyer"),
    ("payment", "personal-check", -1, "received", "buyer"),
    ("payment", "card", -1, "received", "buyer"),
    ("payment", "cash", -1, "cash", "buyer"),
    ("deposit", "cash", -1, "cash", "buyer"),
    ("trade-in", "", -1, "trade-ins", "buyer"),
    ("by-credit", "", -1, "credit", "buyer"),
    ("to-credit", "", 1, "buyer", "credit"),
    ("refund", "wire", 1, "buyer", "bank"),
    ("refund", "card", 1, "buyer", "bank"),
    ("refund", "cash", 1, "buyer", "cash"),
]
AMOUNTS = st.integers(min_value=1, max_value=10**12)
ROWS = st.tuples(st.sampled_from(TABLE), AMOUNTS)


@pytest.mark.parametrize(("kind", "method", "sign", "debit", "credit"), TABLE)
def test_each_kind_of_row_moves_between_its_two_accounts(
    kind: str, method: str, sign: int, debit: str, credit: str
) -> None:
    assert of_row(kind, method, sign * 1250) == [Entry(debit, credit, 1250)]


def test_the_table_leaves_out_no_kind_no_method_and_no_account() -> None:
    assert {row[0] for row in TABLE} == {kind.value for kind in LedgerRow.Kind} - {"reversal"}
    assert {row[1] for row in TABLE} == {"", *LedgerRow.Method.values}
    touched = {name for row in TABLE for name in row[3:]} | {"exchange", "consigned", "consignor"}
    assert touched | {"bank"} == set(Posting.Account.values)


@pytest.mark.parametrize(
    ("method", "quoted", "booked", "expected"),
    [
        ("wire", 1000, None, [Entry("bank", "received", 1000)]),
        ("wire", 1000, 1000, [Entry("bank", "received", 1000)]),
        ("wire", 1000, 990, [Entry("bank", "received", 990), Entry("exchange", "received", 10)]),
        ("wire", 1000, 1012, [Entry("bank", "received", 1012), Entry("received", "exchange", 12)]),
        ("cash", 1000, None, []),
    ],
)
def test_what_is_final_moves_to_the_bank_and_the_difference_to_the_exchange(
    method: str, quoted: int, booked: int | None, expected: list[Entry]
) -> None:
    assert of_clearing(method, quoted, booked) == expected


def test_at_the_closing_the_share_and_the_tax_inside_the_price_become_owed() -> None:
    assert of_closing(8000) == [Entry("consigned", "consignor", 8000)]
    # 60 to 100 at 15 per cent: 5.22 of the price is tax, not earned.
    assert of_closing(0, 522) == [Entry("sales", "tax", 522)]
    assert of_closing(0) == []


def test_a_payout_clears_what_is_owed_to_the_consignor_and_mends_a_share_that_changed() -> None:
    assert of_payout("wire", 8000, 8000) == [Entry("consignor", "bank", 8000)]
    assert of_payout("cash", 8000, 8000) == [Entry("consignor", "cash", 8000)]
    assert of_payout("wire", 7900, 8000) == [
        Entry("consignor", "consigned", 100),
        Entry("consignor", "bank", 7900),
    ]
    assert of_payout("wire", 8100, 8000) == [
        Entry("consigned", "consignor", 100),
        Entry("consignor", "bank", 8100),
    ]


@given(st.lists(ROWS))
def test_the_buyers_account_is_the_balance_and_all_accounts_come_to_nought(
    rows: list[tuple[tuple[str, str, int, str, str], int]],
) -> None:
    entries = [
        entry for (kind, method, sign, *_), minor in rows for entry in of_row(kind, method, sign * minor)
    ]
    found = accounts(entries)
    assert sum(account.balance for account in found.values()) == 0
    assert sum(account.received for account in found.values()) == sum(a.given for a in found.values())
    balance = sum(row[2] * minor for row, minor in rows)
    assert (found["buyer"].balance if "buyer" in found else 0) == balance


@given(ROWS, st.none() | AMOUNTS)
def test_a_reversal_leaves_no_account_changed(
    row: tuple[tuple[str, str, int, str, str], int], booked: int | None
) -> None:
    (kind, method, sign, *_), minor = row
    done = of_row(kind, method, sign * minor)
    if kind in {"deposit", "payment"}:
        done += of_clearing(method, minor, booked)
    assert all(account.balance == 0 for account in accounts([*done, *opposite(done)]).values())


@given(AMOUNTS, AMOUNTS, st.sampled_from(list(STEPS)))
def test_money_that_cleared_is_in_the_bank_as_the_bank_booked_it(
    quoted: int, booked: int, method: str
) -> None:
    found = accounts([*of_row("payment", method, -quoted), *of_clearing(method, quoted, booked)])
    assert found["bank"].balance == booked
    assert found["received"].balance == 0
    assert (found["exchange"].balance if "exchange" in found else 0) == quoted - booked


@given(AMOUNTS, AMOUNTS)
def test_who_was_paid_is_owed_nothing_more(paid: int, owed: int) -> None:
    found = accounts([*of_closing(owed), *of_payout("wire", paid, owed)])
    assert found["consignor"].balance == 0
    assert found["consigned"].balance == paid == -found["bank"].balance


# ISO 4217, list one, minor units, read.
@pytest.mark.parametrize(
    ("amount", "currency", "minor"),
    [
        ("12.50", "USD", 1250),
        ("12.50", "EUR", 1250),
        ("12", "JPY", 12),
        ("1200000", "KRW", 1200000),
        ("1.250", "KWD", 1250),
        ("1.250", "BHD", 1250),
        ("0.001", "TND", 1),
        ("1.250", "IQD", 1250),  # none by CLDR
        ("12.50", "RSD", 1250),  # none by CLDR
    ],
)
def test_amounts_are_kept_in_the_minor_units_of_their_currency(
    amount: str, currency: str, minor: int
) -> None:
    assert in_minor(Decimal(amount), currency) == minor
    assert from_minor(minor, currency) == Decimal(amount)


# Worked by hand: half a minor unit is rounded up.
@pytest.mark.parametrize(
    ("amount", "percent", "currency", "expected"),
    [
        ("1000.00", "2.5", "USD", "25.00"),
        ("10.20", "2.5", "USD", "0.26"),  # 0.255
        ("10.19", "2.5", "USD", "0.25"),  # 0.25475
        ("1000", "2.5", "JPY", "25"),
        ("1020", "2.5", "JPY", "26"),  # 25.5
        ("1.020", "2.5", "KWD", "0.026"),  # 0.0255
        ("12500.00", "0", "USD", "0.00"),
    ],
)
def test_a_surcharge_is_rounded_half_up_to_the_minor_unit(
    amount: str, percent: str, currency: str, expected: str
) -> None:
    assert surcharge_on(Decimal(amount), Decimal(percent), currency) == Decimal(expected)


def quoted(amount: str, currency: str, rate: str) -> Quoted:
    return Quoted(Decimal(amount), currency, Decimal(rate), date(2026, 6, 9), "A bank’s page")


# Worked by hand.
@pytest.mark.parametrize(
    ("amount", "currency", "rate", "into", "expected"),
    [
        ("1000.00", "EUR", "1.0825", "USD", "1082.50"),
        ("150000", "JPY", "0.0064", "USD", "960.00"),
        ("100.000", "KWD", "3.2571", "USD", "325.71"),
        ("1000.00", "USD", "155.255", "JPY", "155255"),
        ("1000.00", "USD", "0.30711", "KWD", "307.110"),
        ("0.01", "EUR", "1.5", "USD", "0.02"),  # 0.015
    ],
)
def test_another_currency_counts_for_its_rate(
    amount: str, currency: str, rate: str, into: str, expected: str
) -> None:
    assert comes_to(quoted(amount, currency, rate), into) == Decimal(expected)
    assert may_count_as(Decimal(expected), quoted(amount, currency, rate), into)


def test_a_balance_that_no_amount_meets_exactly_may_lie_off_by_one_unit_of_the_other_currency() -> None:
    # At 1.5, EUR 66.66 are $99.99 and EUR 66.67 are $100.005: nothing is $100 to the cent but by rounding.
    assert may_count_as(Decimal("100.00"), quoted("66.67", "EUR", "1.5"), "USD")
    assert may_count_as(Decimal("100.00"), quoted("66.66", "EUR", "1.5"), "USD")
    assert not may_count_as(Decimal("100.00"), quoted("66.60", "EUR", "1.5"), "USD")
    assert not may_count_as(Decimal("1000.00"), quoted("66.66", "EUR", "1.5"), "USD")


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (date(2026, 6, 10), ""),
        (date(2026, 6, 8), ""),
        (date(2026, 6, 7), "asked for on 8 June 2026"),
        (date(2026, 6, 11), "after today"),
    ],
)
def test_money_comes_in_between_the_asking_for_the_hold_and_today(day: date, said: str) -> None:
    found = day_refused(day, today=date(2026, 6, 10), asked=date(2026, 6, 8))
    assert said in found
    assert bool(found) == bool(said)


@pytest.mark.parametrize(
    ("method", "taken", "left"),
    [
        ("personal-check", [], ["handed-in", "shown"]),
        ("personal-check", ["handed-in"], ["shown"]),
        ("personal-check", ["shown"], []),
        ("card", [], ["shown"]),
        ("cash", [], []),
    ],
)
def test_the_bank_goes_on_and_never_back(method: str, taken: list[str], left: list[str]) -> None:
    assert steps_left(method, taken) == left


def test_each_kind_of_money_that_a_bank_makes_final_has_its_cautions_with_a_source() -> None:
    assert set(CAUTIONS) == set(STEPS) == set(LedgerRow.Method.values) - {"cash"}
    assert all(caution.text and caution.source for found in CAUTIONS.values() for caution in found)
    assert any(caution.source != PRACTICE for caution in CAUTIONS["cashiers-check"])
