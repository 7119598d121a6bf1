"""The demo's year ends on the day it is loaded."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo


@dataclass(frozen=True)
class Clock:
    """Turns “so many days ago, at this hour” into an instant, never later than `now`."""

    now: datetime
    zone: ZoneInfo

    def day(self, days_ago: float) -> date:
        """The calendar day in the shop's zone."""
        return (self.now.astimezone(self.zone) - timedelta(days=days_ago)).date()

    def at(self, days_ago: float, hour: float = 11) -> datetime:
        """The instant; an hour that has not come yet today is moved to just now."""
        whole, minutes = int(hour), round(hour % 1 * 60)
        instant = datetime.combine(self.day(days_ago), time(whole, minutes), self.zone)
        return min(instant, self.now - timedelta(minutes=1))
