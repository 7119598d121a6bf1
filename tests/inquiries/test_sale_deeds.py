"""The sale: money is added, each step has its place in the table, the rows add up."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from catalog.models import Acquisition, Instrument
from inquiries.models import Delivery, Hold, IssuedPaper, LedgerRow, Sale, Shipment
from inquiries.sales.actions import (
    Received,
    close_sale,
    deliver,
    end_without_sale,
    mark_cleared,
    open_sale,
    pay_consignor,
    record_payment,
    refund,
    reverse_row,
    ship,
)
from inquiries.sales.hold_actions import place_hold
from inquiries.sales.queries import facts_of
from inquiries.sales.rules import ALLOWED, OPEN, SaleFacts, Stage, Step, stage, usual_deposit
from shop.facts import FactIsFixed
from shop.history.queries import history_of
from shop.models import User
from shop.refusal import Refused
from tests.factories import NOON, InquiryFactory, InstrumentFactory, OwnerFactory, ShopFactory
from tests.inquiries.steps import back as come_back
from tests.inquiries.steps import cleared

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
PRICE, SHIPPING = Decimal("12500.00"), Decimal("180.50")


@dataclass
class Desk:
    """An owner at work on one sale."""

    owner: User
    instrument: Instrument
    hold: Hold

    def open(self, amount: str = "2500.00", entry: str = "first", at: datetime = NOON + HOUR) -> Sale:
        money = Received(Decimal(amount), "wire", entry)
        return open_sale(self.hold, price=PRICE, shipping=SHIPPING, money=money, by=self.owner, at=at)

    def pay(self, sale: Sale, amount: str, entry: str = "second", method: str = "wire") -> LedgerRow:
        return record_payment(
            sale, Received(Decimal(amount), method, entry), by=self.owner, at=NOON + 2 * HOUR
        )

    def paid(self) -> Sale:
        sale = self.open()
        self.pay(sale, "10180.50")
        for row in sale.rows.filter(kind__in=["deposit", "payment"]):
            mark_cleared(row, by=self.owner, at=NOON + 3 * HOUR)
        return sale

    def sent(self) -> Sale:
        sale = self.paid()
        parcel = Shipment(carrier="Mule Train", tracking="M 4417", unpictured_reason="No camera here")
        ship(sale, parcel, by=self.owner, at=NOON + DAY)
        return sale

    def delivered(self) -> Sale:
        sale = self.sent()
        deliver(sale, delivered_at=NOON + 2 * DAY, note="", by=self.owner, at=NOON + 2 * DAY)
        return sale


@pytest.fixture
def desk() -> Desk:
    ShopFactory()
    instrument = InstrumentFactory(listed=True)
    owner = OwnerFactory()
    hold = place_hold(instrument, InquiryFactory(instrument=instrument), by=owner, at=NOON)
    return Desk(owner, instrument, hold)


def code_of(refusal: pytest.ExceptionInfo[Refused]) -> str:
    return refusal.value.code


def test_a_deposit_opens_the_sale_and_ends_the_hold(desk: Desk) -> None:
    sale = desk.open()
    desk.hold.refresh_from_db()
    assert desk.hold.state == Hold.State.SALE
    assert sale.number == "2026-001"
    assert [(row.kind, row.amount) for row in sale.rows.all()] == [
        ("price", PRICE),
        ("shipping", SHIPPING),
        ("deposit", Decimal("-2500.00")),
    ]
    assert facts_of(sale).balance == Decimal("10180.50")
    assert stage(facts_of(sale), at=NOON + HOUR) == Stage.DEPOSIT


def test_every_amount_received_has_its_receipt_with_the_balance_after_it(desk: Desk) -> None:
    sale = desk.open()
    desk.pay(sale, "10180.50")
    contents = [
        (r.number, r.content["received"], r.content["balance"])
        for r in IssuedPaper.objects.filter(kind="receipt")
    ]
    assert contents == [("R2026-0001", "$2,500", "$10,180.50"), ("R2026-0002", "$10,180.50", "$0")]


def test_a_form_sent_twice_is_one_row(desk: Desk) -> None:
    sale = desk.open()
    assert desk.open() == sale
    desk.pay(sale, "100.00")
    desk.pay(sale, "100.00")
    assert sale.rows.count() == 4


def test_no_deposit_on_a_hold_that_has_lapsed(desk: Desk) -> None:
    with pytest.raises(Refused) as refusal:
        desk.open(at=NOON + 48 * HOUR)
    assert code_of(refusal) == "hold-not-running"
    assert Sale.objects.count() == 0
    assert LedgerRow.objects.count() == 0


def test_more_than_is_owed_is_refused(desk: Desk) -> None:
    with pytest.raises(Refused) as refusal:
        desk.open("12680.51")
    assert code_of(refusal) == "more-than-owed"
    sale = desk.open()
    with pytest.raises(Refused):
        desk.pay(sale, "10180.51")
    assert facts_of(sale).balance == Decimal("10180.50")


def test_rows_are_never_changed_by_python_or_by_the_database(desk: Desk) -> None:
    row = desk.open().rows.first()
    assert row is not None
    row.amount = Decimal(1)
    for deed in (row.save, row.delete, LedgerRow.objects.all().delete):
        with pytest.raises(FactIsFixed):
            deed()
    with pytest.raises(FactIsFixed):
        LedgerRow.objects.update(amount=1)
    raw = super(type(LedgerRow.objects.all()), LedgerRow.objects.all())
    with pytest.raises(DatabaseError), transaction.atomic():
        raw.update(note="rubbed out")


def test_a_mistake_is_reversed_by_its_opposite_once(desk: Desk) -> None:
    sale = desk.open()
    row = desk.pay(sale, "100.00")
    reverse_row(row, reason="Wrong buyer", by=desk.owner, at=NOON + 3 * HOUR)
    fresh = Sale.objects.get(pk=sale.pk)
    assert (facts_of(fresh).balance, facts_of(fresh).paid) == (Decimal("10180.50"), Decimal("2500.00"))
    with pytest.raises(Refused) as refusal:
        reverse_row(row, reason="Again", by=desk.owner, at=NOON + 3 * HOUR)
    assert code_of(refusal) == "reversed"


def test_nothing_leaves_before_the_balance_is_paid_and_cleared(desk: Desk) -> None:
    sale = desk.open()
    with pytest.raises(Refused) as refusal:
        ship(sale, Shipment(carrier="Mule Train"), by=desk.owner, at=NOON + DAY)
    assert code_of(refusal) == "step-not-allowed"
    desk.pay(sale, "10180.50", method="personal-check")
    with pytest.raises(Refused) as refusal:
        ship(sale, Shipment(carrier="Mule Train"), by=desk.owner, at=NOON + DAY)
    assert code_of(refusal) == "uncleared"
    reason = "Known to the shop for twenty years"
    parcel = Shipment(carrier="Mule Train", uncleared_reason=reason, unpictured_reason="No camera here")
    ship(sale, parcel, by=desk.owner, at=NOON + DAY)
    assert Shipment.objects.get().uncleared_reason == reason


def test_cash_needs_no_clearing(desk: Desk) -> None:
    sale = desk.open()
    mark_cleared(sale.rows.get(kind="deposit"), by=desk.owner, at=NOON + HOUR)
    desk.pay(sale, "10180.50", method="cash")
    fetched = Shipment(collected_by="Cole Withers", identity="Known for years")
    ship(sale, fetched, by=desk.owner, at=NOON + DAY)
    assert Shipment.objects.count() == 1


def test_the_approval_period_runs_from_delivery_start_in_end_out(desk: Desk) -> None:
    sale = Sale.objects.get(pk=desk.delivered().pk)
    over = NOON + 2 * DAY + 48 * HOUR
    assert stage(facts_of(sale), at=over - timedelta(microseconds=1)) == Stage.APPROVAL
    assert stage(facts_of(sale), at=over) == Stage.APPROVED
    with pytest.raises(Refused) as refusal:
        close_sale(sale, by=desk.owner, at=over - timedelta(microseconds=1))
    assert code_of(refusal) == "step-not-allowed"


def test_closing_moves_the_piece_to_the_archive_and_frees_the_queue(desk: Desk) -> None:
    waiting = place_hold(
        desk.instrument, InquiryFactory(instrument=desk.instrument), by=desk.owner, at=NOON + HOUR
    )
    sale = desk.delivered()
    close_sale(sale, by=desk.owner, at=NOON + 5 * DAY)
    close_sale(sale, by=desk.owner, at=NOON + 6 * DAY)
    desk.instrument.refresh_from_db()
    waiting.refresh_from_db()
    assert (desk.instrument.state, desk.instrument.sold_at) == ("sold", NOON + 5 * DAY)
    assert (waiting.state, waiting.reason) == ("released", "Sold to another buyer")
    assert Sale.objects.get().outcome == "closed"


def test_closing_lays_the_buyers_inquiry_aside_once(desk: Desk) -> None:
    sale = desk.delivered()
    close_sale(sale, by=desk.owner, at=NOON + 5 * DAY)
    close_sale(sale, by=desk.owner, at=NOON + 6 * DAY)
    inquiry = desk.hold.inquiry
    inquiry.refresh_from_db()
    assert inquiry.done_at == NOON + 5 * DAY
    assert [entry.by for entry in history_of(inquiry).filter(verb="laid aside")] == [desk.owner]


def test_a_sale_with_money_paid_back_cannot_be_closed(desk: Desk) -> None:
    sale = desk.delivered()
    refund(sale, Received(Decimal(50), "wire", "back"), by=desk.owner, at=NOON + 3 * DAY)
    with pytest.raises(Refused) as refusal:
        close_sale(sale, by=desk.owner, at=NOON + 5 * DAY)
    assert code_of(refusal) == "balance-owed"
    assert "$50" in refusal.value.message


def test_no_more_is_paid_back_than_came_in(desk: Desk) -> None:
    sale = desk.open()
    with pytest.raises(Refused) as refusal:
        refund(sale, Received(Decimal("2500.01"), "wire", "back"), by=desk.owner, at=NOON + 2 * HOUR)
    assert code_of(refusal) == "more-than-received"


def test_a_return_pays_back_balances_to_nil_and_wakes_the_queue(desk: Desk) -> None:
    waiting = place_hold(
        desk.instrument, InquiryFactory(instrument=desk.instrument), by=desk.owner, at=NOON + HOUR
    )
    sale = desk.delivered()
    back = Received(PRICE, "wire", "back")
    at = NOON + 3 * DAY
    come_back(sale, at=at)
    end_without_sale(sale, reason="The neck did not suit", money=back, by=desk.owner, at=at)
    fresh = Sale.objects.get()
    waiting.refresh_from_db()
    desk.instrument.refresh_from_db()
    assert (fresh.outcome, facts_of(fresh).balance, facts_of(fresh).paid) == ("returned", 0, SHIPPING)
    assert (waiting.state, waiting.starts_at, waiting.until) == ("active", at, at + 48 * HOUR)
    assert desk.instrument.state == "listed"


def test_a_deposit_kept_stays_visible_in_the_ledger(desk: Desk) -> None:
    sale = cleared(desk.open(), at=NOON + HOUR)
    end_without_sale(sale, reason="Did not pay", money=None, by=desk.owner, at=NOON + DAY)
    fresh = Sale.objects.get()
    assert (fresh.outcome, facts_of(fresh).balance, facts_of(fresh).paid) == (
        "fell-through",
        0,
        Decimal("2500.00"),
    )


def test_a_delivery_lies_between_sending_and_now(desk: Desk) -> None:
    sale = desk.sent()
    for wrong in (NOON, NOON + 3 * DAY):
        with pytest.raises(Refused) as refusal:
            deliver(sale, delivered_at=wrong, note="", by=desk.owner, at=NOON + 2 * DAY)
        assert code_of(refusal) == "delivery-out-of-order"
    assert Delivery.objects.count() == 0


def test_the_consignor_gets_the_price_less_commission_after_closing(desk: Desk) -> None:
    Acquisition.objects.create(
        instrument=desk.instrument,
        how="consigned",
        seller="Orla Fenn",
        on=NOON.date(),
        commission_percent=Decimal("17.50"),
    )
    sale = desk.delivered()
    with pytest.raises(Refused):
        pay_consignor(sale, method="wire", by=desk.owner, at=NOON + 3 * DAY)
    close_sale(sale, by=desk.owner, at=NOON + 5 * DAY)
    payout = pay_consignor(sale, method="wire", by=desk.owner, at=NOON + 6 * DAY)
    assert payout.amount == Decimal("10312.50")


def test_the_database_itself_refuses_a_second_open_sale(desk: Desk) -> None:
    sale = desk.open()
    with pytest.raises(IntegrityError), transaction.atomic():
        Sale.objects.create(
            number="2026-777",
            instrument=sale.instrument,
            inquiry=sale.inquiry,
            contact=sale.contact,
            currency="USD",
            approval_hours=1,
            opened_at=NOON,
        )


def test_once_a_sale_has_ended_its_money_may_still_become_final_and_nothing_else_is_allowed() -> None:
    assert set(ALLOWED) == set(Step)
    assert {step for step, stages in ALLOWED.items() if not stages <= OPEN} == {Step.CLEAR}


@pytest.mark.parametrize(
    ("charged", "paid", "expected"),
    [("100", "20", Stage.DEPOSIT), ("100", "100", Stage.PAID), ("100", "101", Stage.PAID)],
)
def test_the_stage_follows_from_the_balance(charged: str, paid: str, expected: Stage) -> None:
    facts = SaleFacts(Decimal(charged), Decimal(paid), Decimal(0), 48)
    assert stage(facts, at=NOON) == expected


def test_half_a_cent_is_rounded_up() -> None:
    assert usual_deposit(Decimal("100.03"), 50, "USD") == Decimal("50.02")


@pytest.mark.parametrize(
    ("price", "percent", "currency", "expected"),
    [
        ("99", "0.5", "JPY", "0"),  # 0.495: to hundredths first it would be 0.50, and then 1
        ("101", "50", "JPY", "51"),
        ("100.010", "12.5", "KWD", "12.501"),  # 12.50125
        ("1234.567", "10", "IQD", "123.457"),
    ],
)
def test_a_deposit_is_rounded_once_to_the_units_of_its_currency(
    price: str, percent: str, currency: str, expected: str
) -> None:
    assert str(usual_deposit(Decimal(price), Decimal(percent), currency)) == expected
