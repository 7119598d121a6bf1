"""Holds: one runs, the rest wait in the order they asked, and each ends at its instant."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction

from catalog.instruments.availability import Availability, annotated, availability_of
from catalog.models import Instrument
from inquiries.models import Hold, Inquiry
from inquiries.sales.hold_actions import place_hold, release_hold, settle
from inquiries.sales.promises import longer
from inquiries.sales.queries import queue_of, running_hold
from inquiries.sales.rules import SaleFacts, Stage, chain, hold_end, stage
from shop.history.models import Entry
from shop.models import Job
from shop.refusal import Refused
from tests.factories import NOON, HelperFactory, InquiryFactory, InstrumentFactory, ShopFactory

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
NEW_YORK = ZoneInfo("America/New_York")


@pytest.fixture
def instrument() -> Instrument:
    ShopFactory()
    made: Instrument = InstrumentFactory(listed=True)
    return made


def asked(instrument: Instrument) -> Inquiry:
    made: Inquiry = InquiryFactory(instrument=instrument)
    return made


def states(instrument: Instrument) -> list[str]:
    return [hold.state for hold in instrument.holds.all()]


def word(instrument: Instrument, at: datetime) -> Availability:
    return availability_of(annotated(Instrument.objects.all(), at=at).get(pk=instrument.pk))


def test_a_hold_runs_for_the_hours_of_the_profile_start_in_end_out(instrument: Instrument) -> None:
    hold = place_hold(instrument, asked(instrument), by=HelperFactory(), at=NOON)
    assert (hold.state, hold.starts_at, hold.until) == ("active", NOON, NOON + 48 * HOUR)
    assert word(instrument, NOON - timedelta(microseconds=1)) == Availability.AVAILABLE
    assert word(instrument, NOON) == Availability.ON_HOLD
    assert word(instrument, NOON + 48 * HOUR - timedelta(microseconds=1)) == Availability.ON_HOLD
    assert word(instrument, NOON + 48 * HOUR) == Availability.AVAILABLE


def test_a_second_buyer_waits_behind_the_first(instrument: Instrument) -> None:
    place_hold(instrument, asked(instrument), by=None, at=NOON)
    second = place_hold(instrument, asked(instrument), by=None, at=NOON + HOUR, hours=24)
    assert (second.state, second.starts_at, second.until) == ("queued", NOON + 48 * HOUR, NOON + 72 * HOUR)
    assert queue_of(instrument, at=NOON + HOUR) == [second]


def test_a_second_press_for_the_same_buyer_changes_nothing(instrument: Instrument) -> None:
    inquiry = asked(instrument)
    first = place_hold(instrument, inquiry, by=None, at=NOON)
    again = place_hold(instrument, inquiry, by=None, at=NOON + HOUR)
    assert again == first
    assert Hold.objects.count() == 1


def test_the_queue_moves_up_by_itself_at_the_instant_before_any_worker_wakes(instrument: Instrument) -> None:
    place_hold(instrument, asked(instrument), by=None, at=NOON)
    second = place_hold(instrument, asked(instrument), by=None, at=NOON + HOUR)
    ends = NOON + 48 * HOUR
    assert running_hold(instrument, at=ends) == second
    assert word(instrument, ends) == Availability.ON_HOLD
    settle(instrument, at=ends + HOUR)
    assert states(instrument) == ["expired", "active"]
    assert instrument.holds.first().ended_at == ends


def test_a_server_that_was_away_for_days_ends_each_hold_at_its_own_instant(instrument: Instrument) -> None:
    for number in range(3):
        place_hold(instrument, asked(instrument), by=None, at=NOON + number * HOUR)
    settle(instrument, at=NOON + 24 * 30 * HOUR)
    assert states(instrument) == ["expired", "expired", "expired"]
    assert [hold.ended_at for hold in instrument.holds.all()] == [NOON + h * HOUR for h in (48, 96, 144)]
    assert word(instrument, NOON + 24 * 30 * HOUR) == Availability.AVAILABLE


def test_a_release_gives_the_next_a_full_span_from_now(instrument: Instrument) -> None:
    first = place_hold(instrument, asked(instrument), by=None, at=NOON)
    second = place_hold(instrument, asked(instrument), by=None, at=NOON + HOUR)
    third = place_hold(instrument, asked(instrument), by=None, at=NOON + 2 * HOUR)
    release_hold(first, by=HelperFactory(), at=NOON + 3 * HOUR, reason="Bought another")
    second.refresh_from_db()
    third.refresh_from_db()
    assert (second.state, second.starts_at, second.until) == ("active", NOON + 3 * HOUR, NOON + 51 * HOUR)
    assert (third.state, third.starts_at, third.until) == ("queued", NOON + 51 * HOUR, NOON + 99 * HOUR)


def test_leaving_the_middle_of_the_queue_closes_the_gap(instrument: Instrument) -> None:
    first = place_hold(instrument, asked(instrument), by=None, at=NOON)
    second = place_hold(instrument, asked(instrument), by=None, at=NOON)
    third = place_hold(instrument, asked(instrument), by=None, at=NOON)
    release_hold(second, by=None, at=NOON + HOUR)
    third.refresh_from_db()
    assert third.starts_at == first.until


def test_a_hold_that_has_ended_cannot_be_released(instrument: Instrument) -> None:
    hold = place_hold(instrument, asked(instrument), by=None, at=NOON)
    with pytest.raises(Refused) as refusal:
        release_hold(hold, by=None, at=NOON + 48 * HOUR)
    assert refusal.value.code == "ended"
    hold.refresh_from_db()


@pytest.mark.parametrize("state", ["draft", "withdrawn"])
def test_a_piece_that_is_not_for_sale_cannot_be_held(instrument: Instrument, state: str) -> None:
    Instrument.objects.filter(pk=instrument.pk).update(state=state)
    with pytest.raises(Refused) as refusal:
        place_hold(instrument, asked(instrument), by=None, at=NOON)
    assert refusal.value.code == "not-for-sale"
    assert Hold.objects.count() == 0


def test_the_database_itself_refuses_a_second_active_hold(instrument: Instrument) -> None:
    hold = place_hold(instrument, asked(instrument), by=None, at=NOON)
    rival = asked(instrument)
    with pytest.raises(IntegrityError), transaction.atomic():
        Hold.objects.create(
            instrument=instrument,
            inquiry=rival,
            contact=rival.contact,
            state=Hold.State.ACTIVE,
            hours=1,
            asked_at=NOON,
            starts_at=NOON,
            until=hold.until,
        )


def test_a_hold_leaves_history_and_work_for_its_last_instant(instrument: Instrument) -> None:
    helper = HelperFactory()
    hold = place_hold(instrument, asked(instrument), by=helper, at=NOON)
    entry = Entry.objects.get(about="hold", about_id=hold.pk)
    assert (entry.verb, entry.by, entry.at) == ("placed", helper, NOON)
    assert Job.objects.get().due == hold.until


@pytest.mark.parametrize(
    ("start", "end"),
    [
        # New York goes from UTC-5 to UTC-4 on 8 March 2026 at 07:00 UTC, and back on 1 November 2026 at 06:00 UTC
        # (IANA time zone database).
        (datetime(2026, 3, 7, 15, tzinfo=NEW_YORK), datetime(2026, 3, 9, 16, tzinfo=NEW_YORK)),
        (datetime(2026, 10, 31, 15, tzinfo=NEW_YORK), datetime(2026, 11, 2, 14, tzinfo=NEW_YORK)),
        (datetime(2026, 6, 10, 15, tzinfo=NEW_YORK), datetime(2026, 6, 12, 15, tzinfo=NEW_YORK)),
    ],
)
def test_promised_hours_are_hours_gone_by_whatever_the_clocks_do(start: datetime, end: datetime) -> None:
    nothing = Decimal(0)
    facts = SaleFacts(nothing, nothing, nothing, 48, shipped_at=start, delivered_at=start)
    for since in (start, start.astimezone(UTC)):
        for found in (hold_end(since, 48), longer(since, 48), chain(since, [24, 24])[1][1]):
            assert found.astimezone(NEW_YORK) == end
            assert found - since.astimezone(UTC) == timedelta(hours=48)
    assert facts.approval_until == end.astimezone(UTC)
    assert stage(facts, at=end.astimezone(UTC) - timedelta(microseconds=1)) == Stage.APPROVAL
    assert stage(facts, at=end.astimezone(UTC)) == Stage.APPROVED


def test_the_spans_of_a_queue_follow_one_another() -> None:
    assert chain(NOON, [2, 3]) == [(NOON, NOON + 2 * HOUR), (NOON + 2 * HOUR, NOON + 5 * HOUR)]
    assert chain(NOON, []) == []
