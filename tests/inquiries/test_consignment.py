"""A consigned piece in a sale: its share by the agreement of the day, until when it is paid, apart."""

import uuid
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Acquisition, Cost, Instrument, Work
from catalog.pricing.actions import add_cost, describe_acquisition
from catalog.pricing.queries import run_out_since
from inquiries.models import Payout
from inquiries.review.due import due_today
from inquiries.review.lines import Due
from inquiries.review.queries import rows_of
from inquiries.review.rules import figures
from inquiries.sales import actions
from inquiries.sales.shares import due_on, share_due
from inquiries.sales.statement import statement_of
from inquiries.stockbook.queries import book
from inquiries.stockbook.rules import in_stock
from shop.models import ShopProfile, User
from shop.months import Month
from shop.refusal import Refused
from tests.factories import NOON, InstrumentFactory
from tests.inquiries.conftest import BACKEND, Clock
from tests.inquiries.steps import closed, delivered, fresh, held, opened
from tests.inquiries.terms import DAY, LONG_AGO, agreed, consigned, offer_of

pytestmark = pytest.mark.usefixtures("profile")


def spend(piece: Instrument, kind: str, amount: str, *, at: datetime = NOON - 50 * DAY) -> Cost:
    return add_cost(piece, kind, Decimal(amount), entry=uuid.uuid4(), on=at.date(), by=None, at=at)


def part(slug: str, user: User, at: datetime = NOON) -> list[Due]:
    return [item for found in due_today(user=user, at=at) if found.slug == slug for item in found.items]


def test_without_an_agreement_the_one_commission_counts() -> None:
    sale = opened(instrument=consigned(percent=18), price="10000.00")
    assert share_due(sale) == Decimal("8200.00")
    assert due_on(sale) is None
    assert share_due(opened(price="10000.00")) == 0


def test_the_agreement_of_the_day_counts_with_tiers_and_borne_costs() -> None:
    """1,000 on the first 5,000 and 750 on the next 5,000; of the costs the consignor bears 100."""
    piece = consigned(percent=50)
    agreed(piece, (0, 20), (5000, 15), repairs_by="consignor")
    spend(piece, "repair", "100")
    spend(piece, "other", "40")
    assert share_due(opened(instrument=piece, price="10000.00")) == Decimal("8150.00")


def test_it_is_the_day_on_the_shops_own_clock() -> None:
    """At 2 in the morning in Greenwich on the 10th, it is still the 9th in New York."""
    piece = consigned()
    agreed(piece, (0, 20), starts=date(2026, 1, 1))
    agreed(piece, (0, 10), starts=date(2026, 6, 10))
    sale = opened(instrument=piece, price="10000.00", at=datetime(2026, 6, 10, 2, tzinfo=UTC))
    assert share_due(sale) == Decimal("8000.00")


def test_what_is_written_down_after_the_end_changes_nothing() -> None:
    piece = consigned()
    agreed(piece, repairs_by="consignor")
    spend(piece, "repair", "100")
    sale = closed(instrument=piece, price="10000.00", deposit="10000.00")
    before = share_due(fresh(sale))
    agreed(piece, (0, 50), at=NOON + DAY)
    spend(piece, "repair", "500", at=NOON + DAY)
    assert share_due(fresh(sale)) == before == Decimal("7900.00")


def test_once_sold_the_terms_of_the_acquisition_stand() -> None:
    piece = consigned()
    closed(instrument=piece, price="10000.00", deposit="10000.00")
    values = {"how": "consigned", "seller": "Orrin Pell", "on": LONG_AGO, "commission_percent": Decimal(30)}
    with pytest.raises(Refused, match="It is sold"):
        describe_acquisition(piece, values, by=None, at=NOON)
    values["commission_percent"], values["note"] = Decimal(20), "Met at the fair"
    describe_acquisition(piece, values, by=None, at=NOON)
    assert Acquisition.objects.get().note == "Met at the fair"


def test_the_statement_adds_up() -> None:
    piece = consigned()
    agreed(piece, (0, 20), (5000, 15), repairs_by="consignor", basis="net", least=Decimal(100))
    spend(piece, "repair", "100")
    sale = closed(instrument=piece, price="10000.00", deposit="10000.00")
    found = statement_of(fresh(sale))
    assert found is not None
    assert [(one.percent, one.amount, one.commission) for one in found.parts] == [
        (20, 5000, 1000),
        (15, 4900, Decimal("735.00")),
    ]
    assert (found.consignor, found.net, found.counted_on) == ("Orrin Pell", True, 9900)
    assert found.by_rate == found.commission == 1735
    assert [(cost.what, cost.amount) for cost in found.costs] == [("Repair", 100)]
    assert found.price - found.commission - found.costs_in_all == found.share == found.left_to_pay == 8165
    assert (found.closed_on, found.approval_over_on, found.due_on) == (
        date(2026, 6, 10),
        date(2026, 6, 9),
        date(2026, 7, 9),
    )
    actions.pay_consignor(fresh(sale), method="check", by=None, at=NOON + DAY)
    paid = statement_of(fresh(sale))
    assert paid is not None
    assert (paid.paid, paid.paid_on, paid.left_to_pay) == (8165, date(2026, 6, 11), 0)
    assert statement_of(opened()) is None


def test_nobody_is_paid_before_the_approval_is_over_and_the_sale_closed() -> None:
    piece = consigned()
    agreed(piece)
    sale = delivered(opened(instrument=piece, at=NOON), at=NOON)
    for at in (NOON + DAY, NOON + 10 * DAY):
        with pytest.raises(Refused, match="when the sale of a consigned piece has closed"):
            actions.pay_consignor(fresh(sale), method="wire", by=None, at=at)
    with pytest.raises(Refused, match="On approval"):
        actions.close_sale(fresh(sale), by=None, at=NOON + DAY)
    actions.close_sale(fresh(sale), by=None, at=NOON + 10 * DAY)
    actions.pay_consignor(fresh(sale), method="wire", by=None, at=NOON + 10 * DAY)
    assert Payout.objects.get().amount == Decimal("10000.00")


def test_an_agreement_that_ran_out_is_pointed_out_without_a_name(helpers: Client) -> None:
    piece = consigned()
    agreed(piece, ends=NOON.date() - DAY)
    hold = held(piece)
    for url in (
        reverse("record", args=[piece.stock_id]),
        reverse("publish", args=[piece.stock_id]),
        reverse("deposit", args=[hold.pk]),
        reverse("offer-accept", args=[offer_of(piece, 9000).pk]),
    ):
        page = helpers.get(url).text
        assert "ran out on 9 June 2026" in page, url
        assert "Orrin Pell" not in page
    agreed(piece, starts=NOON.date())
    assert "ran out" not in helpers.get(reverse("record", args=[piece.stock_id])).text


def test_of_a_sold_piece_nothing_runs_out() -> None:
    piece = consigned()
    agreed(piece, ends=NOON.date() - DAY)
    assert run_out_since(piece, NOON.date()) == NOON.date() - DAY
    closed(instrument=piece, price="10000.00", deposit="10000.00")
    assert run_out_since(Instrument.objects.get(pk=piece.pk), NOON.date()) is None


def test_today_lists_agreements_that_end_for_the_owner(owner: User, helper: User) -> None:
    today = NOON.date()
    ends = {"gone": today - DAY, "soon": today + 30 * DAY, "later": today + 31 * DAY, "open": None}
    pieces = {name: consigned() for name in ends}
    for name, last in ends.items():
        agreed(pieces[name], ends=last)
    renewed = consigned()
    agreed(renewed, ends=today + 5 * DAY)
    agreed(renewed, starts=today + 6 * DAY)
    found = part("agreements", owner)
    assert [(item.over, item.what.split(",")[0]) for item in found] == [
        (True, f"No. {pieces['gone'].stock_id}"),
        (False, f"No. {pieces['soon'].stock_id}"),
    ]
    assert found[0].note == "Orrin Pell. It ran out on 9 June 2026."
    assert part("agreements", helper) == []


def test_today_says_until_when_a_consignor_is_to_be_paid(owner: User, helper: User) -> None:
    piece = consigned()
    agreed(piece)
    closed(instrument=piece, price="10000.00", deposit="10000.00")
    (due,) = part("sales", owner)
    assert (due.note, due.over) == ("The share is $8,000, to be paid by 9 July 2026", False)
    assert part("sales", owner, NOON + 29 * DAY)[0].over is False  # 9 July
    assert part("sales", owner, NOON + 30 * DAY)[0].over is True
    assert part("sales", helper) == []


def test_today_says_what_is_out_and_not_with_whom(helper: User) -> None:
    piece = InstrumentFactory()
    for what, days in (("Neck reset", 43), ("New strings", 1)):
        Work.objects.create(
            instrument=piece, kind="repair", what=what, who="Tobit Hale", begun_on=NOON.date() - days * DAY
        )
    found = part("jobs", helper)
    assert [(item.note, item.over) for item in found] == [
        ("Neck reset, given out on 28 April 2026, 43 days ago", True),
        ("New strings, given out on 9 June 2026, 1 day ago", False),
    ]


def test_the_page_of_the_sale_reckons_the_share_for_the_owner(
    owner: User, owners: Client, helpers: Client, clock: Clock
) -> None:
    piece = consigned()
    agreed(piece, (0, 20), (5000, 15), repairs_by="consignor")
    spend(piece, "repair", "100")
    sale = closed(instrument=piece, price="10000.00", deposit="10000.00")
    url = reverse("sale", args=[sale.number])
    page = owners.get(url).text
    for words in ("$750, on $5,000", "$1,750", "$8,150", "To be paid by", "9 July 2026", "Orrin Pell"):
        assert words in page
    assert "Late" not in page
    clock.on(days=40)
    owners.force_login(owner, backend=BACKEND)  # the log-in of then has lapsed
    assert "Late" in owners.get(url).text
    clock.at = NOON
    assert "Orrin Pell" not in helpers.get(url).text
    assert "$8,150" not in helpers.get(url).text


def test_the_month_keeps_consigned_pieces_apart(profile: ShopProfile) -> None:
    own, other = InstrumentFactory(listed=True), consigned()
    spend(own, "purchase", "3000")
    spend(other, "other", "50")
    agreed(other)
    for piece in (own, other):
        closed(instrument=piece, price="10000.00", deposit="10000.00")
    found = figures(rows_of(Month(2026, 6), profile, at=NOON + DAY))
    assert (found.closed, found.consigned) == (2, 1)
    assert (found.revenue, found.consigned_revenue) == ({"USD": 20000}, {"USD": 10000})
    assert (found.margin, found.consigned_margin) == ({"USD": 8950}, {"USD": 1950})
    assert found.shares_unpaid == {"USD": 8000}


def test_what_stands_too_long_is_told_apart(owners: Client) -> None:
    long_ago = NOON - 400 * DAY
    own, other = InstrumentFactory(listed=True), consigned()
    Instrument.objects.update(listed_at=long_ago)
    page = owners.get(reverse("month")).text
    ours, theirs = page.partition("<caption>On consignment</caption>")[::2]
    assert "<caption>The shop’s own stock</caption>" in ours
    assert reverse("record", args=[own.stock_id]) in ours
    assert reverse("record", args=[other.stock_id]) not in ours
    assert reverse("record", args=[other.stock_id]) in theirs


def test_the_value_of_the_stock_is_that_of_our_own_pieces(owners: Client, profile: ShopProfile) -> None:
    for price in ("3000", "4500", ""):
        piece = InstrumentFactory(listed=True)
        Acquisition.objects.create(instrument=piece, how="bought", seller="Estate", on=LONG_AGO)
        if price:
            spend(piece, "purchase", price)
    spend(consigned(), "purchase", "9999")
    bought, others, _ = book(profile)
    found = in_stock(bought)
    assert (found.pieces, found.paid, found.unknown) == (3, (("USD", Decimal(7500)),), 1)
    assert in_stock(others).pieces == 1
    page = owners.get(reverse("stock-book")).text
    assert "3 pieces of the shop’s own, bought for $7,500" in page
    assert "1 on consignment is not counted in it." in page
