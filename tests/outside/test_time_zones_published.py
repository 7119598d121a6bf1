"""Times on a buyer's wall against the changes that the IANA time zone database publishes (release 2026f as packaged).

From its files `northamerica`, `europe`, `australasia`, `asia` and `southamerica`: New York goes forward on the second
Sunday of March and back on the first Sunday of November, at 2:00 by the wall; Berlin and London on the last Sundays of
March and October, at 1:00 UTC; Lord Howe Island moves by half an hour; Apia had no 30 December 2011; Kolkata has had
no change since 1945; Beirut and Santiago begin a day at 1:00 in spring.
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from inquiries.shipping.clock_rules import damage_until, instants, left_out


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize(
    ("zone", "wall", "meant"),
    [
        ("America/New_York", "2026-01-15T12:00", ["2026-01-15T17:00"]),
        ("America/New_York", "2026-07-15T12:00", ["2026-07-15T16:00"]),
        ("America/New_York", "2026-03-08T01:59", ["2026-03-08T06:59"]),
        ("America/New_York", "2026-03-08T02:00", []),
        ("America/New_York", "2026-03-08T02:59", []),
        ("America/New_York", "2026-03-08T03:00", ["2026-03-08T07:00"]),
        ("America/New_York", "2026-11-01T00:59", ["2026-11-01T04:59"]),
        ("America/New_York", "2026-11-01T01:00", ["2026-11-01T05:00", "2026-11-01T06:00"]),
        ("America/New_York", "2026-11-01T01:59", ["2026-11-01T05:59", "2026-11-01T06:59"]),
        ("America/New_York", "2026-11-01T02:00", ["2026-11-01T07:00"]),
        ("America/Phoenix", "2026-03-08T02:30", ["2026-03-08T09:30"]),
        ("Europe/Berlin", "2026-03-29T02:30", []),
        ("Europe/Berlin", "2026-10-25T02:30", ["2026-10-25T00:30", "2026-10-25T01:30"]),
        ("Europe/London", "2026-03-29T01:30", []),
        ("Europe/London", "2026-10-25T01:30", ["2026-10-25T00:30", "2026-10-25T01:30"]),
        ("Australia/Lord_Howe", "2026-04-05T01:45", ["2026-04-04T14:45", "2026-04-04T15:15"]),
        ("Australia/Lord_Howe", "2026-10-04T02:15", []),
        ("Pacific/Apia", "2011-12-30T12:00", []),
        ("Asia/Kolkata", "2026-03-29T02:30", ["2026-03-28T21:00"]),
        ("America/Sao_Paulo", "2018-11-04T00:30", []),
    ],
)
def test_a_time_on_the_wall_is_no_instant_one_or_two(zone: str, wall: str, meant: list[str]) -> None:
    found = instants(datetime.fromisoformat(wall), ZoneInfo(zone))
    assert found == tuple(utc(one) for one in meant)


def test_of_a_time_that_no_clock_shows_it_is_said_what_they_show_instead() -> None:
    early, late = left_out(datetime(2026, 3, 8, 2, 30), ZoneInfo("America/New_York"))  # noqa: DTZ001
    assert (f"{early:%H:%M}", f"{late:%H:%M}") == ("01:30", "03:30")


@pytest.mark.parametrize(
    ("zone", "delivered", "days", "until"),
    [
        # The day is the buyer's: late in the evening in New York it is the next day in London.
        ("America/New_York", "2026-07-02T02:30", 2, "2026-07-04T04:00"),
        ("Europe/London", "2026-07-02T02:30", 2, "2026-07-04T23:00"),
        ("Asia/Tokyo", "2026-07-02T02:30", 5, "2026-07-07T15:00"),
        # Across a change of the clocks the day ends by the new time.
        ("America/New_York", "2026-03-06T15:00", 2, "2026-03-09T04:00"),
        ("Europe/Berlin", "2026-10-23T10:00", 2, "2026-10-25T23:00"),
        # A day that begins at one o'clock ends the one before it there.
        ("America/Sao_Paulo", "2018-11-02T15:00", 1, "2018-11-04T03:00"),
    ],
)
def test_damage_is_to_be_reported_by_the_end_of_a_day_of_the_buyer(
    zone: str, delivered: str, days: int, until: str
) -> None:
    assert damage_until(utc(delivered), days, ZoneInfo(zone)) == utc(until)
