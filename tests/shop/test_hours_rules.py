"""How long the shop was open: a table by hand, and what must hold for any hours, any zone, any instants.

The dates of the changes of clocks are those of the tz database: New York 8 March and 1 November 2026, Berlin 29 March
and 25 October 2026, Lord Howe (half an hour) 5 April 2026, Samoa (no 30 December 2011 at all).
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.hours.rules import (
    DAY,
    NOTHING,
    OpenWeek,
    Span,
    amount_in_words,
    answer_in_words,
    joined,
    open_time,
    shows,
    wait_in_words,
)

NEW_YORK, BERLIN = ZoneInfo("America/New_York"), ZoneInfo("Europe/Berlin")
MINUTE, HOUR, WEEK = timedelta(minutes=1), timedelta(hours=1), timedelta(days=7)
USUAL: Span = (time(10), time(18))
SHOP = OpenWeek(
    NEW_YORK,
    {1: ((time(9), time(12)), (time(13), time(17, 30))), 2: (USUAL,), 3: (USUAL,), 4: (USUAL,), 5: (USUAL,)},
    frozenset([date(2026, 11, 26)]),
)


def local(zone: ZoneInfo, text: str, *, second: bool = False) -> datetime:
    """An instant by the clock of a zone; of one that is shown twice the first, unless the `second` is wanted."""
    return datetime.fromisoformat(text).replace(tzinfo=zone, fold=int(second))


@pytest.mark.parametrize(
    ("since", "until", "hours"),
    [
        ("2026-11-24 10:00", "2026-11-24 12:00", 2.0),  # Tuesday morning
        ("2026-11-24 08:00", "2026-11-24 23:00", 7.5),  # the whole of it: 3 hours and 4½
        ("2026-11-24 12:00", "2026-11-24 13:00", 0.0),  # the break
        ("2026-11-24 11:30", "2026-11-24 13:30", 1.0),  # over the break
        ("2026-11-24 17:30", "2026-11-25 10:00", 0.0),  # from closing to opening
        ("2026-11-24 16:05", "2026-11-25 11:05", 1 + 25 / 60 + 1 + 5 / 60),
        ("2026-11-25 17:00", "2026-11-27 11:00", 2.0),  # over a closed Thursday
        ("2026-11-26 10:00", "2026-11-26 18:00", 0.0),  # on the closed Thursday
        ("2026-11-22 00:00", "2026-11-23 23:59", 0.0),  # Sunday and Monday
        ("2026-11-21 17:59", "2026-11-24 09:01", 2 / 60),  # the weekend
        ("2026-11-16 00:00", "2026-11-23 00:00", 39.5),  # a week
        ("2026-11-23 00:00", "2026-11-30 00:00", 31.5),  # a week with a closed day
    ],
)
def test_hours_counted_by_hand(since: str, until: str, hours: float) -> None:
    counted = open_time(local(NEW_YORK, since), local(NEW_YORK, until), SHOP)
    assert counted == timedelta(hours=hours)


def daily(zone: ZoneInfo, opens: time, closes: time) -> OpenWeek:
    """The same hours on each day."""
    return OpenWeek(zone, dict.fromkeys(range(7), ((opens, closes),)))


@pytest.mark.parametrize(
    ("zone", "day", "opens", "closes", "minutes"),
    [
        (NEW_YORK, "2026-03-07", time(1), time(4), 180),  # the day before
        (NEW_YORK, "2026-03-08", time(1), time(4), 120),  # spring: 2 to 3 is leapt over
        (NEW_YORK, "2026-03-08", time(2), time(3), 0),  # the hour that is not there
        (NEW_YORK, "2026-03-08", time(1, 30), time(2, 30), 30),  # the clock shows 2:30 or later at 3:00
        (NEW_YORK, "2026-03-08", time(2, 30), time(3, 30), 30),
        (NEW_YORK, "2026-03-08", time(9), time(17), 480),  # after it, as ever
        (NEW_YORK, "2026-11-01", time(0), time(3), 240),  # autumn: 1 to 2 is shown twice
        (NEW_YORK, "2026-11-01", time(1), time(2), 120),
        (NEW_YORK, "2026-11-01", time(1), time(1, 30), 30),  # shuts when 1:30 is first shown
        (NEW_YORK, "2026-11-01", time(1, 30), time(2), 90),
        (NEW_YORK, "2026-11-01", time(2), time(3), 60),
        (BERLIN, "2026-03-29", time(0), time(23, 59), 23 * 60 - 1),
        (BERLIN, "2026-10-25", time(0), time(23, 59), 25 * 60 - 1),
        (ZoneInfo("Australia/Lord_Howe"), "2026-04-05", time(1), time(3), 150),
        (ZoneInfo("Pacific/Apia"), "2011-12-30", time(9), time(17), 0),
        (ZoneInfo("Pacific/Apia"), "2011-12-31", time(9), time(17), 480),
    ],
)
def test_changes_of_the_clock(zone: ZoneInfo, day: str, opens: time, closes: time, minutes: int) -> None:
    begin = datetime.fromisoformat(day).replace(tzinfo=UTC) - 2 * DAY
    week = daily(zone, opens, closes)
    other_days = frozenset(
        date.fromisoformat(day) + DAY * number for number in range(-4, 5) if number
    )  # closed, so that this one alone is counted
    only = OpenWeek(zone, week.hours, other_days)
    assert open_time(begin, begin + 5 * DAY, only) == MINUTE * minutes


def test_with_no_hours_the_clock_runs_always_on_closed_days_too() -> None:
    always = OpenWeek(NEW_YORK, closed=frozenset([date(2026, 3, 8)]))
    assert not always.given
    since, until = local(NEW_YORK, "2026-03-07 12:00"), local(NEW_YORK, "2026-03-09 12:00")
    assert open_time(since, until, always) == 47 * HOUR


def test_nothing_is_counted_backwards() -> None:
    since = local(NEW_YORK, "2026-11-24 10:00")
    assert open_time(since, since, SHOP) == open_time(since, since - HOUR, SHOP) == NOTHING
    assert open_time(since, since - HOUR, OpenWeek(NEW_YORK)) == NOTHING


def test_hours_that_overlap_are_counted_once() -> None:
    spans = ((time(13), time(17)), (time(9), time(14)), (time(17), time(18)))
    assert joined(spans) == [(time(9), time(18))]
    since = local(NEW_YORK, "2026-11-24 00:00")
    assert open_time(since, since + DAY, OpenWeek(NEW_YORK, {1: spans})) == 9 * HOUR


ZONES = st.sampled_from(
    [
        ZoneInfo(name)
        for name in ("America/New_York", "Europe/Berlin", "Australia/Lord_Howe", "Asia/Kolkata", "UTC")
    ]
)
INSTANTS = st.datetimes(datetime(2025, 12, 1), datetime(2027, 1, 31), timezones=st.just(UTC))  # noqa: DTZ001
HOURS = st.times().map(lambda hour: hour.replace(microsecond=0))
SPANS = st.tuples(HOURS, HOURS).filter(lambda span: span[0] < span[1])
DAYS = st.dates(date(2025, 12, 1), date(2027, 1, 31))


@st.composite
def weeks(draw: st.DrawFn) -> OpenWeek:
    """Any hours at all."""
    hours = draw(st.dictionaries(st.integers(0, 6), st.lists(SPANS, max_size=3).map(tuple), max_size=7))
    return OpenWeek(draw(ZONES), hours, frozenset(draw(st.lists(DAYS, max_size=5))))


@given(weeks(), st.lists(INSTANTS, min_size=3, max_size=3).map(sorted))
def test_two_spans_that_meet_are_one(week: OpenWeek, instants: list[datetime]) -> None:
    first, second, third = instants
    assert open_time(first, second, week) + open_time(second, third, week) == open_time(first, third, week)


@given(weeks(), st.lists(INSTANTS, min_size=4, max_size=4).map(sorted))
def test_a_longer_span_is_never_less(week: OpenWeek, instants: list[datetime]) -> None:
    first, second, third, fourth = instants
    assert open_time(second, third, week) <= open_time(first, fourth, week)


@given(weeks(), INSTANTS, st.timedeltas(NOTHING, timedelta(days=60)))
def test_the_shop_is_never_open_for_longer_than_the_span(
    week: OpenWeek, since: datetime, span: timedelta
) -> None:
    assert NOTHING <= open_time(since, since + span, week) <= span


@given(weeks(), DAYS, INSTANTS, st.timedeltas(NOTHING, timedelta(days=60)))
def test_one_more_closed_day_never_adds_time(
    week: OpenWeek, day: date, since: datetime, span: timedelta
) -> None:
    fewer = OpenWeek(week.zone, week.hours, week.closed | {day})
    assert open_time(since, since + span, fewer) <= open_time(since, since + span, week)


@given(st.dictionaries(st.integers(0, 6), SPANS.map(lambda span: (span,)), min_size=1), INSTANTS)
def test_seven_days_hold_the_hours_of_the_week_whenever_they_begin(
    hours: dict[int, tuple[Span, ...]], since: datetime
) -> None:
    # Where the clock is never changed, or not changed within them.
    day = date(2026, 1, 1)
    expected = sum(
        (
            datetime.combine(day, closes) - datetime.combine(day, opens)
            for spans in hours.values()
            for opens, closes in spans
        ),
        NOTHING,
    )
    for zone in (ZoneInfo("Asia/Kolkata"), NEW_YORK):
        offsets = {(since + HOUR * number).astimezone(zone).utcoffset() for number in range(-24, 8 * 24)}
        if len(offsets) == 1:
            assert open_time(since, since + WEEK, OpenWeek(zone, hours)) == expected


@given(weeks(), INSTANTS)
def test_a_day_counted_by_looking_at_the_clock_each_minute(week: OpenWeek, since: datetime) -> None:
    """A referee that knows nothing of opening instants: it asks, minute by minute, what the clock shows.

    Hours are cut to whole minutes; days on which the clock is put back are left to the table, since a shop does not
    open again when the clock shows its hours a second time.
    """
    since = since.replace(second=0, microsecond=0)
    minutes = [since + MINUTE * number for number in range(24 * 60)]
    shown = [minute.astimezone(week.zone).replace(tzinfo=None) for minute in minutes]
    if not week.given or shown != sorted(set(shown)):
        return
    cut = {
        weekday: tuple((opens.replace(second=0), closes.replace(second=0)) for opens, closes in spans)
        for weekday, spans in week.hours.items()
    }
    counted = sum(
        wall.date() not in week.closed
        and any(opens <= wall.time() < closes for opens, closes in cut.get(wall.weekday(), ()))
        for wall in shown
    )
    assert open_time(since, since + DAY, OpenWeek(week.zone, cut, week.closed)) == MINUTE * counted


@given(ZONES, DAYS, HOURS)
def test_an_hour_is_shown_at_an_instant_and_not_just_before(zone: ZoneInfo, day: date, hour: time) -> None:
    wall, instant = datetime.combine(day, hour), shows(day, hour, zone)
    assert instant.astimezone(zone).replace(tzinfo=None) >= wall
    assert (instant - timedelta(seconds=1)).astimezone(zone).replace(tzinfo=None) < wall


@pytest.mark.parametrize(
    ("amount", "always", "said"),
    [
        (NOTHING, False, "no opening hours yet"),
        (timedelta(seconds=59), False, "less than a minute"),
        (NOTHING, True, "less than a minute"),
        (MINUTE, False, "1 opening minute"),
        (HOUR - timedelta(seconds=1), False, "59 opening minutes"),
        (HOUR, False, "1 opening hour"),
        (6 * HOUR - timedelta(seconds=1), False, "5 opening hours"),
        (1234 * HOUR, False, "1,234 opening hours"),
        (5 * HOUR, True, "5 hours"),
    ],
)
def test_an_amount_in_words(amount: timedelta, always: bool, said: str) -> None:
    assert amount_in_words(amount, always=always) == said


@pytest.mark.parametrize(
    ("since", "said"),
    [
        ("2026-11-25 11:05", "1 opening hour (since Wed 11:05 am)"),
        ("2026-11-24 16:05", "3 opening hours (since Tue 4:05 pm)"),
        ("2026-11-19 12:00", "31 opening hours (since Thu 12:00 pm)"),
        ("2026-11-18 23:30", "33 opening hours (since Wed 18 Nov, 11:30 pm)"),
        ("2025-12-31 18:00", "1,850 opening hours (since Wed 31 Dec 2025, 6:00 pm)"),
    ],
)
def test_a_wait_in_words(since: str, said: str) -> None:
    now = local(NEW_YORK, "2026-11-25 12:20")
    spoken = wait_in_words(local(NEW_YORK, since), now, SHOP)
    assert spoken.partition(" (")[2] == said.partition(" (")[2]
    assert spoken == said


@pytest.mark.parametrize(
    ("week", "until", "said"),
    [
        (SHOP, "2026-11-25 11:05", "19 hours (2 opening hours)"),
        (SHOP, "2026-11-24 16:30", "25 minutes (25 opening minutes)"),
        (OpenWeek(NEW_YORK), "2026-11-25 11:05", "19 hours"),
        (OpenWeek(NEW_YORK, {6: (USUAL,)}), "2026-11-25 11:05", "19 hours (outside opening hours)"),
    ],
)
def test_how_long_an_answer_took_in_words(week: OpenWeek, until: str, said: str) -> None:
    assert answer_in_words(local(NEW_YORK, "2026-11-24 16:05"), local(NEW_YORK, until), week) == said
