"""What a house policy allows of a hold: so long without a deposit, longer with one, longer once.

Common practice, no source: the figures are the owner's own.
"""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from catalog.models import Instrument
from inquiries.models import Hold, Inquiry
from inquiries.sales.actions import open_sale
from inquiries.sales.hold_actions import extend_hold, place_hold, release_hold, settle
from inquiries.sales.promises import Promise, why_not, why_not_longer
from inquiries.sales.queries import running_hold
from shop.history.queries import history_of
from shop.models import HousePolicy
from shop.refusal import Refused
from tests.factories import NOON, HelperFactory, InquiryFactory, InstrumentFactory, ShopFactory
from tests.inquiries.steps import held, received

HOUR = timedelta(hours=1)
TICK = timedelta(microseconds=1)
USUAL = HousePolicy()  # 72 hours free, a deposit within 48, 30 days with one, longer by 24
DAYS = 24


@pytest.mark.parametrize(
    ("promise", "says"),
    [
        (Promise(72), ""),
        (Promise(73), "A hold longer than 72 hours without a deposit is not made by the house policy."),
        (Promise(48, 30 * DAYS), ""),
        (Promise(49, 30 * DAYS), "By the house policy a deposit is due within 48 hours."),
        (Promise(48, 30 * DAYS + 1), "By the house policy a piece is held 30 days at most with a deposit."),
        (Promise(48, 48), ""),
        (Promise(48, 47), "The balance cannot be due before the deposit."),
    ],
)
def test_what_may_be_promised(promise: Promise, says: str) -> None:
    found = why_not(promise, USUAL)
    assert found.startswith(says)
    assert bool(found) == bool(says)


@pytest.mark.parametrize(
    ("promise", "hours", "before", "policy", "says"),
    [
        (Promise(72), 24, 0, {}, ""),
        (
            Promise(72),
            25,
            0,
            {},
            "By the house policy that this hold was made under, it can be made longer by 24",
        ),
        (Promise(72), 1, 1, {}, "This hold was made longer once already, by one hour, and once is all."),
        (
            Promise(72),
            1,
            0,
            {"extension_hours": 0},
            "By the house policy that this hold was made under, no hold",
        ),
        (Promise(24, 48), 24, 0, {}, ""),
        (Promise(25, 48), 24, 0, {}, "The deposit would be due after the balance."),
    ],
)
def test_what_may_be_made_longer(
    promise: Promise, hours: int, before: int, policy: dict[str, Any], says: str
) -> None:
    found = why_not_longer(promise, HousePolicy(**policy), by_hours=hours, extended_hours=before)
    assert found.startswith(says)
    assert bool(found) == bool(says)


pytestmark = pytest.mark.django_db


@pytest.fixture
def instrument() -> Instrument:
    ShopFactory()
    made: Instrument = InstrumentFactory(listed=True)
    return made


def asked(instrument: Instrument) -> Inquiry:
    made: Inquiry = InquiryFactory(instrument=instrument)
    return made


def policy(**terms: Any) -> HousePolicy:
    return HousePolicy.objects.create(**{"starts": NOON.date(), "at": NOON} | terms)


def spans(instrument: Instrument) -> list[tuple[Any, Any]]:
    return [(hold.starts_at, hold.until) for hold in instrument.holds.all()]


def test_longer_than_the_policy_allows_is_not_held_without_a_deposit(instrument: Instrument) -> None:
    with pytest.raises(Refused) as refused:
        place_hold(instrument, asked(instrument), by=None, at=NOON, hours=73)
    assert refused.value.code == "not-by-policy"
    assert "hold it with a deposit, for up to 30 days" in refused.value.message
    assert not Hold.objects.exists()
    assert place_hold(instrument, asked(instrument), by=None, at=NOON, hours=72).until == NOON + 72 * HOUR


def test_a_hold_with_a_deposit_ends_at_the_instant_the_deposit_is_due(instrument: Instrument) -> None:
    hold = place_hold(instrument, asked(instrument), by=None, at=NOON, balance_hours=20 * DAYS)
    assert (hold.condition, hold.hours, hold.until) == ("deposit", 48, NOON + 48 * HOUR)
    assert running_hold(instrument, at=NOON + 48 * HOUR - TICK) == hold
    assert running_hold(instrument, at=NOON + 48 * HOUR) is None
    settle(instrument, at=NOON + 50 * HOUR)
    hold.refresh_from_db()
    assert (hold.state, hold.ended_at) == ("expired", NOON + 48 * HOUR)


def test_with_the_deposit_the_sale_opens_and_the_balance_has_the_whole_time(instrument: Instrument) -> None:
    hold = place_hold(instrument, asked(instrument), by=None, at=NOON, hours=24, balance_hours=20 * DAYS)
    sale = open_sale(
        hold,
        price=Decimal(12500),
        shipping=Decimal(0),
        money=received("2500.00"),
        by=None,
        at=NOON + 24 * HOUR - TICK,
    )
    sale.refresh_from_db()
    assert sale.balance_due_at == NOON + timedelta(days=20)
    assert Hold.objects.get().state == "sale"


def test_in_the_queue_the_deposit_and_the_balance_count_from_when_it_is_their_turn(
    instrument: Instrument,
) -> None:
    first = place_hold(instrument, asked(instrument), by=None, at=NOON)
    second = place_hold(instrument, asked(instrument), by=None, at=NOON, hours=24, balance_hours=10 * DAYS)
    assert second.until == NOON + 72 * HOUR
    release_hold(first, by=None, at=NOON + 3 * HOUR)
    sale = open_sale(
        second,
        price=Decimal(12500),
        shipping=Decimal(0),
        money=received("2500.00"),
        by=None,
        at=NOON + 27 * HOUR - TICK,
    )
    assert sale.balance_due_at == NOON + 3 * HOUR + timedelta(days=10)


def test_the_balance_of_a_free_hold_is_due_by_the_house_policy(instrument: Instrument) -> None:
    policy(deposit_hold_days=14)
    sale = open_sale(
        held(instrument), price=Decimal(9), shipping=Decimal(0), money=received("1.00"), by=None, at=NOON
    )
    assert sale.balance_due_at == NOON + timedelta(days=14)


def test_a_hold_keeps_the_policy_it_was_made_under(instrument: Instrument) -> None:
    made_under = policy(extension_hours=12, hold_hours=24)
    hold = place_hold(instrument, asked(instrument), by=None, at=NOON)
    assert (hold.policy, hold.hours) == (made_under, 24)
    policy(starts=NOON.date() + timedelta(days=1), extension_hours=0, hold_hours=1, hold_most_hours=2)
    later = NOON + 23 * HOUR
    assert extend_hold(hold, hours=12, by=None, at=later).until == NOON + 36 * HOUR
    hold.refresh_from_db()
    assert hold.terms == made_under


def test_a_hold_made_before_there_was_a_policy_keeps_the_usual_figures(instrument: Instrument) -> None:
    hold = held(instrument)
    policy(extension_hours=1)
    assert hold.policy is None
    assert extend_hold(hold, hours=24, by=None, at=NOON).until == NOON + 72 * HOUR


def test_a_policy_from_tomorrow_does_not_bind_a_hold_of_today(instrument: Instrument) -> None:
    policy(starts=NOON.date() + timedelta(days=1), hold_hours=1, hold_most_hours=1)
    assert place_hold(instrument, asked(instrument), by=None, at=NOON, hours=72).hours == 72
    with pytest.raises(Refused):
        place_hold(instrument, asked(instrument), by=None, at=NOON + 24 * HOUR, hours=72)


def test_an_extension_moves_everybody_behind_back(instrument: Instrument) -> None:
    first = held(instrument)
    held(instrument)
    held(instrument)
    helper = HelperFactory()
    extend_hold(first, hours=10, by=helper, at=NOON + HOUR)
    ends = [NOON + hours * HOUR for hours in (58, 106, 154)]
    assert spans(instrument) == [(NOON, ends[0]), (ends[0], ends[1]), (ends[1], ends[2])]
    first.refresh_from_db()
    assert (first.hours, first.extended_hours, first.extended_at) == (48, 10, NOON + HOUR)
    entry = history_of(first)[0]
    assert (entry.verb, entry.by) == ("made longer", helper)
    assert (entry.old, entry.new) == ("Fri 12 Jun 2026, 8:00 am", "Fri 12 Jun 2026, 6:00 pm")


def test_once_is_all(instrument: Instrument) -> None:
    hold = held(instrument)
    extend_hold(hold, hours=1, by=None, at=NOON)
    with pytest.raises(Refused) as refused:
        extend_hold(hold, hours=1, by=None, at=NOON)
    assert refused.value.code == "extended"
    assert Hold.objects.get().until == NOON + 49 * HOUR


@pytest.mark.parametrize("passed", [48 * HOUR, 72 * HOUR])
def test_what_has_ended_is_not_made_longer(instrument: Instrument, passed: timedelta) -> None:
    hold = held(instrument)
    with pytest.raises(Refused) as refused:
        extend_hold(hold, hours=1, by=None, at=NOON + passed)
    assert refused.value.code == "not-running"
    assert Hold.objects.get().until == NOON + 48 * HOUR


def test_in_its_last_moment_a_hold_is_still_made_longer(instrument: Instrument) -> None:
    hold = held(instrument)
    assert extend_hold(hold, hours=1, by=None, at=NOON + 48 * HOUR - TICK).until == NOON + 49 * HOUR


def test_who_waits_cannot_have_it_longer_but_whose_turn_came_with_nobody_there_can(
    instrument: Instrument,
) -> None:
    held(instrument)
    second = held(instrument)
    with pytest.raises(Refused):
        extend_hold(second, hours=1, by=None, at=NOON + 47 * HOUR)
    # No worker has been there: the first has lapsed, and the second runs by the clock alone.
    extended = extend_hold(second, hours=1, by=None, at=NOON + 50 * HOUR)
    assert (extended.state, extended.until) == ("active", NOON + 97 * HOUR)
    assert [hold.state for hold in instrument.holds.all()] == ["expired", "active"]


def test_a_hold_made_longer_ends_at_its_new_instant_and_the_old_one_does_nothing(
    instrument: Instrument,
) -> None:
    hold = held(instrument)
    extend_hold(hold, hours=24, by=None, at=NOON)
    settle(instrument, at=NOON + 48 * HOUR)
    assert running_hold(instrument, at=NOON + 72 * HOUR - TICK) == hold
    settle(instrument, at=NOON + 100 * HOUR)
    hold.refresh_from_db()
    assert (hold.state, hold.ended_at) == ("expired", NOON + 72 * HOUR)


@pytest.mark.parametrize(
    "wrong",
    [
        {"condition": "free", "balance_hours": 100},
        {"condition": "deposit", "balance_hours": None},
        {"condition": "deposit", "balance_hours": 47},
        {"starts_at": None},
        {"extended_hours": 1},
        {"extended_at": NOON},
    ],
)
def test_the_database_itself_refuses_a_promise_that_makes_no_sense(
    instrument: Instrument, wrong: dict[str, Any]
) -> None:
    hold = held(instrument)
    with pytest.raises(IntegrityError), transaction.atomic():
        Hold.objects.filter(pk=hold.pk).update(**wrong)
