"""The sale at the desk: each deed's form, who may use it, and what a refused one gives back."""

import re
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.models import Acquisition, Instrument
from inquiries.models import Clearing, Delivery, Hold, IssuedPaper, LedgerRow, Payout, Sale, Shipment
from inquiries.sales.actions import close_sale
from shop.models import User
from tests.factories import NOON
from tests.inquiries.conftest import Clock
from tests.inquiries.steps import back as come_back
from tests.inquiries.steps import cleared, closed, delivered, entry, fresh, held, opened, sent, settle

DAY = timedelta(days=1)
OWNERS_DEEDS = ["sale-refund", "sale-reverse", "sale-end", "sale-consignor"]
DEEDS = ["sale-payment", "sale-cleared", "sale-parcel", "sale-delivered", "sale-close", *OWNERS_DEEDS]


def url(name: str, sale: Sale) -> str:
    return reverse(name, args=[sale.number])


def money(amount: str, **more: str) -> dict[str, str]:
    return {"amount": amount, "method": "wire", "note": "", "entry": entry()} | more


def amounts(sale: Sale) -> list[tuple[str, Decimal]]:
    return list(sale.rows.values_list("kind", "amount"))


def forms_on(page: str) -> set[str]:
    """The deeds whose forms the page shows."""
    return {name for name in DEEDS if f"/{name.removeprefix('sale-')}/" in page}


def consign(instrument: Instrument, percent: str = "20") -> None:
    Acquisition.objects.create(
        instrument=instrument,
        how="consigned",
        seller="Orrin Pell",
        on=NOON.date(),
        commission_percent=Decimal(percent),
    )


def test_a_deposit_on_a_running_hold_opens_the_sale_once(helpers: Client, helper: User) -> None:
    hold = held()
    address = reverse("deposit", args=[hold.pk])
    page = helpers.get(address).text
    assert 'name="price" value="12,500.00"' in page
    assert 'name="amount" value="2,500.00"' in page  # 20 per cent, the profile's usual deposit

    press = money("2,500.00", price="12,500", shipping="150.00")
    answers = [helpers.post(address, press) for _ in range(2)]
    sale = Sale.objects.get()
    assert [answer["Location"] for answer in answers] == [url("sale", sale)] * 2
    assert amounts(sale) == [
        ("price", Decimal("12500.00")),
        ("shipping", Decimal("150.00")),
        ("deposit", Decimal("-2500.00")),
    ]
    assert set(sale.rows.values_list("by", flat=True)) == {helper.pk}
    assert IssuedPaper.objects.filter(kind="receipt").count() == 1
    assert Hold.objects.get().state == "sale"


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"amount": "2.500"}, "can be read in two ways"),
        ({"amount": "0"}, "Write an amount above nought"),
        ({"amount": "-5"}, "below nought"),
        ({"amount": "20,000"}, "$20,000 is more than the $12,500 that is owed"),
        ({"method": ""}, "This field is required"),
        ({"price": "much"}, "cannot be read"),
    ],
)
def test_a_bad_deposit_opens_nothing_and_comes_back(
    changed: dict[str, str], said: str, helpers: Client
) -> None:
    hold = held()
    typed = money("2500.00", price="12,500", shipping="", note="By the river bank") | changed
    answer = helpers.post(reverse("deposit", args=[hold.pk]), typed)
    assert answer.status_code == 200
    assert said in answer.text
    assert 'value="By the river bank"' in answer.text
    assert not Sale.objects.exists()
    assert Hold.objects.get().state == "active"


@pytest.mark.parametrize(("late", "opens"), [(-timedelta(microseconds=1), True), (timedelta(0), False)])
def test_at_the_instant_a_hold_ends_no_deposit_is_taken_on_it(
    late: timedelta, opens: bool, helpers: Client, clock: Clock
) -> None:
    hold = held()
    clock.at = NOON + 2 * DAY + late
    typed = money("2500.00", price="12500", shipping="")
    answer = helpers.post(reverse("deposit", args=[hold.pk]), typed)
    assert Sale.objects.exists() is opens
    if not opens:
        assert "This hold does not run now" in answer.text


def test_the_page_says_stage_next_balance_and_who(helpers: Client) -> None:
    sale = opened(contact__name="Cole Withers")
    page = helpers.get(url("sale", sale)).text
    assert '<span class="state state-deposit-taken">Deposit taken</span>' in page
    assert "The balance is to come from the buyer." in page
    assert "$10,000 owed to us" in page
    assert "Common practice, and general information, not legal advice." in page


def test_only_the_forms_the_table_of_steps_allows_are_shown(
    owners: Client, helpers: Client, clock: Clock
) -> None:
    everywhere = {"sale-refund", "sale-reverse"}
    sale = opened()
    page = owners.get(url("sale", sale)).text
    assert forms_on(page) == everywhere | {"sale-payment", "sale-cleared", "sale-end"}
    assert forms_on(helpers.get(url("sale", sale)).text) == {"sale-payment", "sale-cleared"}

    settle(sale, at=NOON)
    assert forms_on(owners.get(url("sale", sale)).text) == everywhere | {"sale-parcel", "sale-end"}
    clock.at = NOON + timedelta(minutes=5)
    sent(sale, at=NOON)
    assert forms_on(owners.get(url("sale", sale)).text) == everywhere | {"sale-delivered"}


def test_the_forms_after_delivery_follow_the_approval_period(owners: Client, clock: Clock) -> None:
    sale = delivered(opened(), at=NOON)
    ends = NOON + timedelta(minutes=1) + 2 * DAY
    clock.at = ends - timedelta(microseconds=1)
    page = owners.get(url("sale", sale)).text
    assert forms_on(page) == {"sale-refund", "sale-reverse"}
    assert "The buyer sends it back" in page
    clock.at = ends
    assert forms_on(owners.get(url("sale", sale)).text) >= {"sale-close"}


@pytest.mark.parametrize("name", DEEDS)
def test_every_deed_is_posted_by_staff_only(name: str, client: Client, helpers: Client) -> None:
    sale = opened()
    before = amounts(sale)
    assert helpers.get(url(name, sale)).status_code == 405
    assert client.post(url(name, sale), money("10.00"))["Location"].startswith("/desk/log-in/")
    assert amounts(sale) == before


@pytest.mark.parametrize("name", OWNERS_DEEDS)
def test_a_helper_is_refused_the_owners_deeds(name: str, helpers: Client) -> None:
    sale = opened()
    before = amounts(sale)
    typed = money("10.00", row=str(sale.rows.first().pk), reason="Mine")  # type: ignore[union-attr]
    assert helpers.post(url(name, sale), typed).status_code == 403
    assert amounts(sale) == before
    assert fresh(sale).ended_at is None


def test_a_payment_pressed_twice_is_one_row_with_one_receipt(helpers: Client) -> None:
    sale = opened()
    press = money("10,000")
    for _ in range(2):
        assert helpers.post(url("sale-payment", sale), press).status_code == 302
    assert amounts(sale)[-1] == ("payment", Decimal("-10000.00"))
    assert len(amounts(sale)) == 3
    assert IssuedPaper.objects.filter(kind="receipt").count() == 2


def test_a_refused_payment_comes_back_with_its_sentence_and_all_that_was_typed(helpers: Client) -> None:
    sale = opened()
    answer = helpers.post(url("sale-payment", sale), money("10,000.01", note="From Aunt Ivy"))
    assert "$10,000.01 is more than the $10,000 that is owed." in answer.text
    assert 'value="10,000.01"' in answer.text
    assert 'value="From Aunt Ivy"' in answer.text
    assert len(amounts(sale)) == 2


def test_money_is_cleared_once_with_who_and_when(helpers: Client, helper: User) -> None:
    sale = opened()
    row = sale.rows.get(kind="deposit")
    for _ in range(2):
        assert helpers.post(url("sale-cleared", sale), {"row": row.pk, "final": "on"}).status_code == 302
    clearing = Clearing.objects.get()
    assert (clearing.row, clearing.by, clearing.at) == (row, helper, NOON)


def test_a_row_of_another_sale_is_not_cleared_from_here(helpers: Client) -> None:
    sale, other = opened(), opened()
    typed = {"row": other.rows.get(kind="deposit").pk, "final": "on"}
    answer = helpers.post(url("sale-cleared", sale), typed, follow=True)
    assert "This row is not of this sale." in answer.text
    assert not Clearing.objects.exists()


def parcel(**changed: str) -> dict[str, str]:
    typed = {
        "carrier": "Mule Train",
        "service": "Overland",
        "tracking": "MT 0147",
        "carton_length": "44 in",
        "carton_width": "18 in",
        "carton_height": "8 in",
        "weight": "14 lb 6 oz",
        "declared_value": "12,500",
        "unpictured_reason": "The camera was at the mender",
    }
    return typed | changed


def test_a_parcel_is_kept_as_it_went(helpers: Client) -> None:
    sale = settle(opened(), at=NOON)
    for _ in range(2):
        assert helpers.post(url("sale-parcel", sale), parcel()).status_code == 302
    sent_off = Shipment.objects.get()
    assert (sent_off.weight_amount, sent_off.weight_unit) == (14 * 64 + 6 * 4, "oz4")
    assert (sent_off.carrier, sent_off.declared_value, sent_off.currency) == (
        "Mule Train",
        Decimal(12500),
        "USD",
    )
    page = helpers.get(url("sale", sale)).text
    assert "14 lb 6 oz (6.52 kg)" in page  # 230 oz of 28.349523125 g are 6520.39 g
    assert "44 in (1118 mm) × 18 in (457 mm) × 8 in (203 mm)" in page


def test_collected_in_person_keeps_nothing_of_a_parcel(helpers: Client) -> None:
    sale = settle(opened(), at=NOON)
    came = {"collected": "on", "collected_by": "Ivy Withers", "identity": "Passport"}
    helpers.post(url("sale-parcel", sale), parcel(**came))
    assert str(Shipment.objects.get()) == "Collected in person"
    assert Shipment.objects.get().declared_value is None


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"carrier": ""}, "Choose the carrier, or mark it as collected."),
        ({"carrier": "Owl Mail"}, "Select a valid choice"),
        ({"weight": "14"}, "has no unit"),
        ({"carton_width": ""}, "Give all three sides of the carton, or none."),
        ({"declared_value": "12.5"}, "can be read in two ways"),
    ],
)
def test_a_bad_parcel_comes_back_whole(changed: dict[str, str], said: str, helpers: Client) -> None:
    sale = settle(opened(), at=NOON)
    answer = helpers.post(url("sale-parcel", sale), parcel(**changed))
    assert said in answer.text
    assert 'value="MT 0147"' in answer.text
    assert not Shipment.objects.exists()


def test_before_the_money_clears_it_leaves_only_with_the_owners_reason(
    owners: Client, helpers: Client
) -> None:
    sale = opened(deposit="12500.00")
    answer = helpers.post(url("sale-parcel", sale), parcel())
    assert "Money received has not cleared." in answer.text
    assert 'value="MT 0147"' in answer.text
    typed = parcel(uncleared_reason="Known for thirty years")
    answer = helpers.post(url("sale-parcel", sale), typed)
    assert "only the owner may let the piece go before" in answer.text
    assert 'value="Known for thirty years"' in answer.text
    assert not Shipment.objects.exists()
    owners.post(url("sale-parcel", sale), typed)
    assert Shipment.objects.get().uncleared_reason == "Known for thirty years"


def test_delivery_is_typed_on_the_shops_clock(helpers: Client, clock: Clock) -> None:
    sale = sent(opened(), at=NOON)
    clock.at = NOON + DAY
    typed = {"delivered_at": "2026-06-10T15:30", "note": "Left with Ivy"}
    for _ in range(2):
        assert helpers.post(url("sale-delivered", sale), typed).status_code == 302
    # 15:30 in New York in June is 19:30 UTC.
    assert Delivery.objects.get().at == NOON.replace(hour=19, minute=30)


def test_handed_over_in_the_minute_it_left_counts_as_after(helpers: Client, clock: Clock) -> None:
    left = NOON + timedelta(seconds=41)
    sale = sent(opened(), at=left)
    clock.at = left + timedelta(seconds=5)
    helpers.post(url("sale-delivered", sale), {"delivered_at": "2026-06-10T08:00", "note": ""})
    assert Delivery.objects.get().at == left


def test_another_delivery_than_the_one_recorded_is_refused_and_what_was_typed_stays(
    helpers: Client, helper: User, clock: Clock
) -> None:
    sale = sent(opened(), at=NOON)
    clock.at = NOON + 2 * DAY
    first = {"delivered_at": "2026-06-10T15:30", "note": "Left with Ivy"}
    for _ in range(2):  # the same press twice
        assert helpers.post(url("sale-delivered", sale), first).status_code == 302
    for other in ({"delivered_at": "2026-06-11T15:30"}, {"note": "With the neighbour"}):
        page = helpers.post(url("sale-delivered", sale), first | other)
        assert page.status_code == 200
        assert f"A delivery is recorded already: Wed 10 Jun 2026, 3:30 pm, noted by {helper}." in page.text
        assert "take a late return with the reason" in page.text
        assert next(iter(other.values())) in page.text
    assert Delivery.objects.get().note == "Left with Ivy"


@pytest.mark.parametrize("typed", ["", "yesterday", "2026-06-09T12:00", "2026-06-12T12:00"])
def test_a_delivery_before_it_left_or_still_to_come_is_refused(
    typed: str, helpers: Client, clock: Clock
) -> None:
    sale = sent(opened(), at=NOON)
    clock.at = NOON + DAY
    answer = helpers.post(url("sale-delivered", sale), {"delivered_at": typed, "note": "Left with Ivy"})
    assert "Nothing was saved yet" in answer.text
    assert 'value="Left with Ivy"' in answer.text
    assert not Delivery.objects.exists()


def test_closing_puts_the_instrument_in_the_archive_and_happens_once(helpers: Client, clock: Clock) -> None:
    sale = delivered(opened(), at=NOON)
    clock.at = NOON + DAY
    assert "so you cannot close the sale now" in helpers.post(url("sale-close", sale)).text
    assert fresh(sale).outcome == ""
    clock.at = NOON + 3 * DAY
    for _ in range(2):
        assert helpers.post(url("sale-close", sale)).status_code == 302
        clock.on(minutes=1)
    assert (fresh(sale).outcome, fresh(sale).ended_at) == ("closed", NOON + 3 * DAY)
    assert Instrument.objects.get(pk=sale.instrument_id).state == "sold"


def test_a_refund_pressed_twice_is_one_row_and_never_more_than_came_in(owners: Client) -> None:
    sale = cleared(opened())
    press = money("500.00")
    for _ in range(2):
        assert owners.post(url("sale-refund", sale), press).status_code == 302
    assert amounts(sale)[-1] == ("refund", Decimal("500.00"))
    assert len(amounts(sale)) == 3
    answer = owners.post(url("sale-refund", sale), money("2,000.01"))
    assert "$2,000.01 is more than the $2,000 received." in answer.text


def test_a_mistaken_row_is_undone_by_its_opposite_once(owners: Client) -> None:
    sale = opened()
    row = sale.rows.get(kind="deposit")
    typed = {"row": row.pk, "reason": "Typed twice"}
    assert owners.post(url("sale-reverse", sale), typed).status_code == 302
    again = owners.post(url("sale-reverse", sale), typed)
    assert again.status_code == 200
    assert 'value="Typed twice"' in again.text
    assert amounts(sale)[-1] == ("reversal", Decimal("2500.00"))
    assert len(amounts(sale)) == 3


def test_a_check_that_bounces_after_the_parcel_went_can_be_paid_again(owners: Client, clock: Clock) -> None:
    sale = delivered(opened(), at=NOON)
    clock.at = NOON + 3 * DAY
    owners.post(url("sale-reverse", sale), {"row": sale.rows.get(kind="deposit").pk, "reason": "Bounced"})
    assert "The balance is $2,500, so the sale cannot be closed." in owners.post(url("sale-close", sale)).text
    assert owners.post(url("sale-payment", sale), money("2,500")).status_code == 302
    assert "is not final at the bank" in owners.post(url("sale-close", sale)).text
    cleared(sale, at=clock.at)
    assert owners.post(url("sale-close", sale)).status_code == 302
    assert fresh(sale).outcome == "closed"


def test_a_sale_that_falls_through_pays_back_and_keeps_the_rest(owners: Client) -> None:
    sale = cleared(opened())
    waiting = held(sale.instrument)
    typed = {"reason": "No answer any more", "amount": "2,000.00", "method": "wire", "entry": entry()}
    assert owners.post(url("sale-end", sale), typed).status_code == 302
    assert amounts(sale)[2:] == [
        ("refund", Decimal("2000.00")),
        ("reversal", Decimal("-12500.00")),
        ("restocking", Decimal("500.00")),
    ]
    assert (fresh(sale).outcome, fresh(sale).reason) == ("fell-through", "No answer any more")
    waiting.refresh_from_db()
    assert (waiting.state, waiting.starts_at) == ("active", NOON)
    again = owners.post(url("sale-end", sale), typed)
    assert "so you cannot" in again.text
    assert len(amounts(sale)) == 5


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"reason": ""}, "This field is required"),
        ({"method": ""}, "Choose how it is paid back"),
        ({"amount": "2,500.01"}, "is more than the $2,500 received"),
        ({"amount": "x"}, "cannot be read"),
    ],
)
def test_an_end_that_cannot_be_comes_back_whole(changed: dict[str, str], said: str, owners: Client) -> None:
    sale = cleared(opened())
    typed = {"reason": "No answer", "amount": "2,000.00", "method": "wire", "entry": entry()} | changed
    answer = owners.post(url("sale-end", sale), typed)
    assert said in answer.text
    assert f'value="{typed["amount"]}"' in answer.text
    assert fresh(sale).outcome == ""
    assert len(amounts(sale)) == 2


def test_on_approval_it_comes_back_as_returned(owners: Client, clock: Clock) -> None:
    sale = delivered(opened(), at=NOON)
    come_back(sale, at=NOON + DAY)
    clock.at = NOON + DAY
    typed = {"reason": "Not the neck they hoped for", "amount": "12,500", "method": "wire", "entry": entry()}
    owners.post(url("sale-end", sale), typed)
    assert fresh(sale).outcome == "returned"
    assert sum(amount for _, amount in amounts(sale)) == 0


def test_the_consignor_is_paid_once_and_only_the_owner_sees_it(
    owners: Client, helpers: Client, clock: Clock
) -> None:
    sale = opened(at=NOON - 4 * DAY)
    consign(sale.instrument)
    close_sale(delivered(sale, at=NOON - 3 * DAY), by=None, at=NOON)
    assert "The share is $10,000." in owners.get(url("sale", sale)).text
    told = re.sub(r"[Rr]eceipt for \$10,000|\$10,000</td>", "", helpers.get(url("sale", sale)).text)
    assert "10,000" not in told, "but for the amount received"
    for _ in range(2):
        assert owners.post(url("sale-consignor", sale), {"method": "wire"}).status_code == 302
    assert Payout.objects.get().amount == Decimal("10000.00")
    assert "consignor" not in helpers.get(url("sale", sale)).text.lower()


def test_a_bought_piece_has_no_consignor_to_pay(owners: Client) -> None:
    sale = closed()
    answer = owners.post(url("sale-consignor", sale), {"method": "wire"})
    assert "A consignor is paid when the sale of a consigned piece has closed." in answer.text
    assert not Payout.objects.exists()


@pytest.mark.parametrize("many", [1, 12])
def test_the_list_puts_open_sales_first_in_a_fixed_number_of_queries(
    many: int, helpers: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    finished = closed(at=NOON)
    last = [opened() for _ in range(many)][-1]
    helpers.get(reverse("sales"))
    with django_assert_num_queries(13):
        page = helpers.get(reverse("sales")).text
    assert page.index(f">{last.number}</a>") < page.index(f">{finished.number}</a>")
    assert '<span class="state state-closed">Closed</span>' in page


def test_the_running_balance_stands_in_every_line(helpers: Client) -> None:
    sale = opened(shipping="150.00")
    context: Any = helpers.get(url("sale", sale)).context
    assert [line.balance for line in context["lines"]] == [Decimal(12500), Decimal(12650), Decimal(10150)]
    assert [line.word for line in context["lines"]] == ["", "", "Not cleared"]
    assert LedgerRow.objects.count() == 3
