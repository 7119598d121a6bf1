"""How long the shop was open between two instants, from values alone.

The shop opens at the first instant at which the clock on its wall shows the hour or a later one, and shuts in the same
way. So an hour that the clock leaps over in spring is not counted, and one that it shows twice in autumn counts twice
if the shop is open through it. Spans are half open: the instant of opening is in, that of closing is out. With no
hours given the clock runs always, on closed days too, and whoever shows such a figure says so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

DAY = timedelta(days=1)
SECOND = timedelta(seconds=1)
NOTHING = timedelta()
MINUTES = 60
HOUR = 3600
LATELY = timedelta(days=6)  # so long a weekday alone says which day it was

Span = tuple[time, time]
Stretch = tuple[datetime, datetime]


@dataclass(frozen=True)
class OpenWeek:
    """The hours of each weekday (Monday is 0), the days on which the shop is closed, and its zone."""

    zone: ZoneInfo
    hours: Mapping[int, tuple[Span, ...]] = field(default_factory=dict)
    closed: frozenset[date] = frozenset()
    _known: dict[date, list[Stretch]] = field(default_factory=dict, compare=False, repr=False)

    @property
    def given(self) -> bool:
        """Whether any hours are given. If none are, the clock runs always."""
        return any(self.hours.values())

    def of(self, day: date) -> list[Stretch]:
        """When the shop is open on a day of its calendar, each stretch once."""
        if day not in self._known:
            spans = [] if day in self.closed else joined(self.hours.get(day.weekday(), ()))
            self._known[day] = [
                (shows(day, opens, self.zone), shows(day, closes, self.zone)) for opens, closes in spans
            ]
        return self._known[day]


def joined(spans: Iterable[Span]) -> list[Span]:
    """The same hours without overlaps, in order."""
    found: list[Span] = []
    for opens, closes in sorted(spans):
        if found and opens <= found[-1][1]:
            found[-1] = (found[-1][0], max(closes, found[-1][1]))
        else:
            found.append((opens, closes))
    return found


def shows(day: date, hour: time, zone: ZoneInfo) -> datetime:
    """The first instant at which the clock of `zone` shows this hour of this day, or a later one."""
    wall = datetime.combine(day, hour)
    first = wall.replace(tzinfo=zone).astimezone(UTC)
    if first.astimezone(zone).replace(tzinfo=None) == wall:
        return first
    # The clock leaps over it (PEP 495: before the leap by the later offset, after it by the earlier one).
    before, after = wall.replace(tzinfo=zone, fold=1).astimezone(UTC), first
    while after - before > SECOND:
        middle = before + SECOND * (((after - before) // SECOND) // 2)
        if middle.astimezone(zone).replace(tzinfo=None) < wall:
            before = middle
        else:
            after = middle
    return after


def open_time(since: datetime, until: datetime, week: OpenWeek) -> timedelta:
    """How long the shop was open from `since` to `until`; nothing when that is no span forward."""
    if until <= since:
        return NOTHING
    if not week.given:
        return until.astimezone(UTC) - since.astimezone(UTC)
    begin, end = since.astimezone(UTC), until.astimezone(UTC)
    total, day = NOTHING, since.astimezone(week.zone).date()
    last = until.astimezone(week.zone).date()
    while day <= last:
        for opens, closes in week.of(day):
            total += max(min(closes, end) - max(opens, begin), NOTHING)
        day += DAY
    return total


def amount_in_words(amount: timedelta, *, always: bool) -> str:
    """“5 opening hours”, “40 opening minutes”, “no opening hours yet”; plain hours where the clock runs `always`."""
    seconds = amount // SECOND
    kind = "" if always else "opening "
    if seconds < MINUTES:
        return "less than a minute" if always or seconds else "no opening hours yet"
    whole, unit = (seconds // HOUR, "hour") if seconds >= HOUR else (seconds // MINUTES, "minute")
    return f"{whole:,} {kind}{unit}{'' if whole == 1 else 's'}"


def wait_in_words(since: datetime, at: datetime, week: OpenWeek) -> str:
    """“5 opening hours (since Tue 4:05 pm)”; the day of the month as well when that was a week ago or longer."""
    said = amount_in_words(open_time(since, at, week), always=not week.given)
    return f"{said} (since {when_in_words(since, at, week.zone)})"


def answer_in_words(since: datetime, until: datetime, week: OpenWeek) -> str:
    """“3 hours”, “19 hours (5 opening hours)”, “3 hours (outside opening hours)”: how long something took."""
    clock = amount_in_words(until - since, always=True)
    if not week.given:
        return clock
    opening = open_time(since, until, week)
    return f"{clock} ({amount_in_words(opening, always=False) if opening else 'outside opening hours'})"


def when_in_words(instant: datetime, at: datetime, zone: ZoneInfo) -> str:
    """An instant gone by, as short as is clear: “Tue 4:05 pm”, “Tue 3 Nov, 4:05 pm”, “Tue 3 Nov 2025, 4:05 pm”."""
    then, now = instant.astimezone(zone), at.astimezone(zone)
    clock = f"{then:%-I:%M} {'am' if then.hour < 12 else 'pm'}"
    if timedelta() <= now.date() - then.date() <= LATELY:
        return f"{then:%a} {clock}"
    return f"{then:%a %-d %b}{'' if then.year == now.year else f' {then.year}'}, {clock}"
