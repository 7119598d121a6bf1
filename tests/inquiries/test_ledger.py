"""The double entry: each deed writes it, it agrees with the rows, and the database finds what does not."""

from collections import Counter, defaultdict
from datetime import date, timedelta
from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, transaction

from catalog.models import Acquisition
from inquiries.models import BankStep, Clearing, IssuedPaper, LedgerRow, Posting, Sale, Shipment
from inquiries.sales import actions
from inquiries.sales.clearing import note_step
from inquiries.sales.money_rules import Quoted
from inquiries.sales.posting_rules import Account, Entry, accounts, from_minor, in_minor
from inquiries.sales.proof import minor_of, unbalanced
from inquiries.sales.queries import facts_of
from inquiries.sales.steps import Received
from shop.models import User
from shop.money import minor_units
from shop.refusal import Refused
from tests.factories import NOON, InstrumentFactory
from tests.inquiries.ledgers import drawn, surcharging
from tests.inquiries.steps import cleared, closed, delivered, entry, fresh, opened, received
from tests.support.currencies import PAYABLE

HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def accounts_of(sale: Sale) -> dict[str, Account]:
    return accounts(Entry(p.debit, p.credit, p.minor) for p in Posting.objects.filter(sale=sale))


def balances(sale: Sale) -> dict[str, Decimal]:
    found = {name: from_minor(one.balance, sale.currency) for name, one in accounts_of(sale).items()}
    return {name: amount for name, amount in found.items() if amount}


def pay(sale: Sale, amount: str, method: str = "wire", **more: object) -> LedgerRow:
    money = Received(Decimal(amount), method, entry(), **more)  # type: ignore[arg-type]
    return actions.record_payment(sale, money, by=None, at=NOON + HOUR)


def code_of(refusal: pytest.ExceptionInfo[Refused]) -> str:
    return refusal.value.code


def test_money_goes_from_the_buyer_by_the_bank_to_what_was_earned(owner: User) -> None:
    sale = opened(deposit="2500.00", shipping="180.50")
    assert balances(sale) == {
        "buyer": Decimal("10180.50"),
        "received": Decimal(2500),
        "sales": Decimal(-12500),
        "shipping": Decimal("-180.50"),
    }
    actions.mark_cleared(sale.rows.get(kind="deposit"), by=owner, at=NOON + HOUR)
    pay(sale, "10180.50", "cash")
    assert balances(sale) == {
        "bank": Decimal(2500),
        "cash": Decimal("10180.50"),
        "sales": Decimal(-12500),
        "shipping": Decimal("-180.50"),
    }
    assert unbalanced() == []


def test_a_check_that_bounces_after_it_was_final_leaves_the_bank_again(owner: User) -> None:
    sale = opened()
    row = sale.rows.get(kind="deposit")
    actions.mark_cleared(row, by=owner, at=NOON)
    actions.reverse_row(row, reason="Bounced", by=owner, at=NOON + HOUR)
    assert balances(sale) == {"buyer": Decimal(12500), "sales": Decimal(-12500)}
    assert unbalanced() == []
    other = pay(sale, "100.00")
    actions.reverse_row(other, reason="Typed twice", by=owner, at=NOON + HOUR)
    with pytest.raises(Refused) as refusal:
        actions.mark_cleared(other, by=owner, at=NOON + 2 * HOUR)
    assert code_of(refusal) == "nothing-to-clear"


def test_a_sale_that_falls_through_keeps_its_fee_and_nothing_else(owner: User) -> None:
    sale = cleared(opened(shipping="100.00"), at=NOON)
    actions.end_without_sale(sale, reason="Gone", money=received("2000.00"), by=owner, at=NOON + HOUR)
    assert balances(sale) == {"bank": Decimal(500), "fees": Decimal(-500)}
    assert unbalanced() == []


def test_the_consignors_share_is_owed_at_the_closing_and_no_more_once_paid(owner: User) -> None:
    piece = InstrumentFactory(listed=True)
    Acquisition.objects.create(
        instrument=piece, how="consigned", seller="Orla Fenn", on=NOON.date(), commission_percent=Decimal(20)
    )
    sale = closed(instrument=piece)
    assert balances(sale)["consignor"] == Decimal(-10000)
    assert balances(sale)["consigned"] == Decimal(10000)
    actions.pay_consignor(sale, method="wire", by=owner, at=NOON + DAY)
    found = balances(sale)
    assert "consignor" not in found
    assert (found["consigned"], found["bank"]) == (Decimal(10000), Decimal(2500 - 10000))
    assert unbalanced() == []


def test_rows_and_accounts_agree_in_a_shop_of_any_history(owner: User) -> None:
    surcharging()
    sales = [sale for seed in range(5) for sale in drawn(seed, owner).sales]
    assert unbalanced() == []
    _holds_every_kind_of_row_and_account()
    for sale in sales:
        sale, found = fresh(sale), accounts_of(sale)
        assert sum(one.balance for one in found.values()) == 0
        facts = facts_of(sale)
        held = {name: from_minor(one.balance, sale.currency) for name, one in found.items()}
        assert held.get("buyer", Decimal(0)) == facts.balance
        assert held.get("received", Decimal(0)) == sum(
            (row.received for row in sale.rows.all() if _waits(row)), Decimal(0)
        )
        # All that came in as money, less what went out, lies in one of three places, or is the exchange's.
        places = sum(
            (held.get(name, Decimal(0)) for name in ("received", "bank", "cash", "exchange")), Decimal(0)
        )
        payout = sale.payout.amount if hasattr(sale, "payout") else Decimal(0)
        assert places == _money(sale) - payout


def _holds_every_kind_of_row_and_account() -> None:
    kinds = Counter(LedgerRow.objects.values_list("kind", flat=True))
    assert set(kinds) == set(LedgerRow.Kind.values)
    touched = {name for pair in Posting.objects.values_list("debit", "credit") for name in pair}
    assert touched == set(Posting.Account.values)
    assert Clearing.objects.filter(amount__isnull=False).exists()
    assert set(Sale.objects.values_list("outcome", flat=True)) >= {"", "closed", "fell-through"}


def _waits(row: LedgerRow) -> bool:
    open_row = not hasattr(row, "clearing") and not hasattr(row, "reversed_by")
    return row.is_money_in and row.method != "cash" and open_row


def _money(sale: Sale) -> Decimal:
    moved: dict[int, Decimal] = defaultdict(Decimal)
    for row in sale.rows.all():
        first = row.reverses or row
        if first.kind in {"deposit", "payment", "refund"}:
            moved[first.pk] -= row.amount
    return sum(moved.values(), Decimal(0))


@pytest.mark.parametrize(
    ("debit", "credit", "said"),
    [("buyer", "sales", {"buyer", "sales"}), ("consigned", "consignor", {"consigned", "consignor"})],
)
def test_a_posting_that_no_row_asked_for_is_found(
    debit: str, credit: str, said: set[str], owner: User
) -> None:
    sale = opened()
    row = sale.rows.get(kind="deposit")
    cause = {"row": row} if debit == "buyer" else {}
    Posting.objects.create(sale=sale, debit=debit, credit=credit, minor=1, currency="USD", at=NOON, **cause)
    found = unbalanced()
    assert {one.account for one in found} == said
    assert {one.sale for one in found} == {sale.number}
    assert "$0.01" in " ".join(map(str, found)) or "should hold" in str(found[0])


def test_a_posting_of_another_sale_or_currency_is_found(owner: User) -> None:
    one, other = opened(), opened()
    Posting.objects.create(
        sale=one,
        row=other.rows.get(kind="deposit"),
        debit="bank",
        credit="cash",
        minor=1,
        currency="USD",
        at=NOON,
    )
    assert {found.sale for found in unbalanced()} == {one.number}


def test_a_row_without_its_postings_is_found_and_the_migration_writes_them(owner: User) -> None:
    surcharging()
    sales = drawn(3, owner, sales=4).sales
    kept = [tuple(sorted(balances(sale).items())) for sale in sales]
    _take_postings_away()
    assert {found.sale for found in unbalanced()} == {sale.number for sale in sales}
    earlier = import_module("inquiries.migrations.0018_postings_of_earlier_sales")
    earlier.write_postings(apps, None)
    assert unbalanced() == []
    assert [tuple(sorted(balances(sale).items())) for sale in sales] == kept
    earlier.write_postings(apps, None)
    assert [tuple(sorted(balances(sale).items())) for sale in sales] == kept


def _take_postings_away() -> None:
    """As a shop was before there was a double entry: the trigger of PostgreSQL guards against this."""
    from django.db import connection

    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # else the table waits for checks still to come
            cursor.execute("ALTER TABLE inquiries_posting DISABLE TRIGGER inquiries_posting_fixed")
        cursor.execute("DELETE FROM inquiries_posting")
        if connection.vendor == "postgresql":
            cursor.execute("ALTER TABLE inquiries_posting ENABLE TRIGGER inquiries_posting_fixed")


def test_postings_are_never_changed(owner: User) -> None:
    opened()
    raw = super(type(Posting.objects.all()), Posting.objects.all())
    with pytest.raises(DatabaseError), transaction.atomic():
        raw.update(minor=1)


def test_the_surcharge_stands_on_its_own_row_and_goes_with_its_payment(owner: User) -> None:
    surcharging()
    sale = opened()
    row = pay(sale, "1000.00", "card", surcharge=True)
    assert row.received == Decimal("1025.00")
    assert facts_of(fresh(sale)).balance == Decimal("9000.00")
    extra = sale.rows.get(kind="surcharge")
    assert (extra.amount, extra.note) == (Decimal("25.00"), "2.5 per cent")
    assert balances(sale)["surcharge"] == Decimal("-25.00")
    with pytest.raises(Refused) as refusal:
        actions.reverse_row(extra, reason="No", by=owner, at=NOON + 2 * HOUR)
    assert code_of(refusal) == "surcharge"
    actions.reverse_row(row, reason="Disputed", by=owner, at=NOON + 2 * HOUR)
    assert facts_of(fresh(sale)).balance == Decimal("10000.00")
    assert "surcharge" not in balances(sale)
    assert unbalanced() == []


def test_no_surcharge_but_on_cards_and_by_a_policy_that_has_one(owner: User) -> None:
    with pytest.raises(Refused) as refusal:
        pay(opened(), "1000.00", "card", surcharge=True)
    assert code_of(refusal) == "no-surcharge"
    surcharging()
    with pytest.raises(Refused) as refusal:
        pay(opened(), "1000.00", "cash", surcharge=True)
    assert code_of(refusal) == "not-a-card"


def quoted(amount: str, currency: str = "EUR", rate: str = "1.08") -> Quoted:
    return Quoted(Decimal(amount), currency, Decimal(rate), date(2026, 6, 9), "The bank’s own page")


@pytest.mark.parametrize(("booked", "difference"), [("1075.50", "4.50"), ("1082.00", "-2.00"), (None, "0")])
def test_what_the_bank_books_of_another_currency_is_kept_with_the_difference(
    booked: str | None, difference: str, owner: User
) -> None:
    sale = opened()
    row = pay(sale, "1080.00", quoted=quoted("1000.00"))
    assert str(row.exchange) == "€1,000 at 1.08"
    assert facts_of(fresh(sale)).balance == Decimal("8920.00")
    final = None if booked is None else Decimal(booked)
    actions.mark_cleared(row, by=owner, at=NOON + HOUR, booked=final)
    found = balances(sale)
    assert found["bank"] == (final or Decimal("1080.00"))
    assert found.get("exchange", Decimal(0)) == Decimal(difference)
    assert found["buyer"] == Decimal("8920.00")
    assert unbalanced() == []


@pytest.mark.parametrize(
    ("amount", "quote", "code"),
    [
        ("1080.03", quoted("1000.00"), "rate"),
        ("1080.00", quoted("1080.00", "USD", "1"), "same-currency"),
    ],
)
def test_a_rate_that_does_not_give_the_amount_is_refused(
    amount: str, quote: Quoted, code: str, owner: User
) -> None:
    with pytest.raises(Refused) as refusal:
        pay(opened(), amount, quoted=quote)
    assert code_of(refusal) == code
    assert LedgerRow.objects.filter(kind="payment").count() == 0


def test_money_without_a_rate_is_booked_as_it_was_received(owner: User) -> None:
    sale = opened()
    with pytest.raises(Refused) as refusal:
        actions.mark_cleared(sale.rows.get(kind="deposit"), by=owner, at=NOON, booked=Decimal(1))
    assert code_of(refusal) == "no-rate"


def test_the_day_money_came_in_is_kept_and_printed(owner: User) -> None:
    sale = opened(at=NOON - 4 * DAY)
    row = pay(sale, "100.00", on=date(2026, 6, 8))
    # Noon in New York in June.
    assert row.received_at == NOON - 2 * DAY + 4 * HOUR
    assert IssuedPaper.objects.get(row=row).content["more"] == ["Came in on 8 June 2026."]
    assert pay(sale, "100.00").received_at == NOON + HOUR


@pytest.mark.parametrize("day", [date(2026, 6, 5), date(2026, 6, 11)])
def test_money_cannot_come_in_before_the_hold_was_asked_for_or_after_today(day: date, owner: User) -> None:
    sale = opened(at=NOON - 4 * DAY)
    with pytest.raises(Refused) as refusal:
        pay(sale, "100.00", on=day)
    assert code_of(refusal) == "day-of-money"


def test_the_bank_takes_each_step_once_in_its_order(owner: User) -> None:
    sale = opened(at=NOON - 4 * DAY)
    row = pay(sale, "100.00", "personal-check", on=date(2026, 6, 7))
    for _ in range(2):
        note_step(row, "handed-in", on=date(2026, 6, 8), note="", by=owner, at=NOON + HOUR)
    with pytest.raises(Refused) as refusal:
        note_step(row, "shown", on=date(2026, 6, 7), note="", by=owner, at=NOON + HOUR)
    assert code_of(refusal) == "day-of-step"
    note_step(row, "shown", on=date(2026, 6, 9), note="", by=owner, at=NOON + HOUR)
    assert list(BankStep.objects.values_list("step", flat=True)) == ["handed-in", "shown"]
    assert facts_of(fresh(sale)).uncleared == Decimal(2600)
    actions.mark_cleared(row, by=owner, at=NOON + 2 * HOUR)
    wired = sale.rows.get(kind="deposit")
    with pytest.raises(Refused) as refusal:
        note_step(wired, "handed-in", on=date(2026, 6, 10), note="", by=owner, at=NOON + HOUR)
    assert code_of(refusal) == "no-such-step"


def test_goods_leave_on_money_that_is_not_final_by_the_owners_word_alone(owner: User, helper: User) -> None:
    sale = opened(deposit="12500.00")
    parcel = Shipment(
        carrier="Mule Train", uncleared_reason="Known for years", unpictured_reason="Handed over"
    )
    for by in (helper, None):
        with pytest.raises(Refused) as refusal:
            actions.ship(sale, parcel, by=by, at=NOON + HOUR)
        assert code_of(refusal) == "owner-only"
    actions.ship(sale, parcel, by=owner, at=NOON + HOUR)
    assert Shipment.objects.get().uncleared_reason == "Known for years"


def test_each_deed_and_its_postings_are_one_transaction(owner: User, monkeypatch: pytest.MonkeyPatch) -> None:
    sale = delivered(opened(), at=NOON)
    before = Posting.objects.count()

    def fail(*args: object, **options: object) -> None:
        raise RuntimeError

    monkeypatch.setattr("inquiries.sales.steps.post_row", fail)
    with pytest.raises(RuntimeError):
        actions.refund(sale, received("10.00"), by=owner, at=NOON + HOUR)
    assert Posting.objects.count() == before
    assert not sale.rows.filter(kind="refund").exists()


def test_the_database_counts_in_the_same_minor_units_in_every_currency(db: None) -> None:
    """Half of a whole is there only where a currency has decimals."""
    amounts = {code: Decimal("1234.5") if minor_units(code) else Decimal(1234) for code in PAYABLE}
    counted = ", ".join(
        minor_of(f"CAST({amount} AS NUMERIC)", f"'{code}'") for code, amount in amounts.items()
    )
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {counted}")
        found = dict(zip(PAYABLE, map(int, cursor.fetchone()), strict=True))
    assert found == {code: in_minor(amount, code) for code, amount in amounts.items()}
