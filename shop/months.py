"""Months of the shop's calendar. No clock here: every caller says which instant it means."""

import re
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

WRITTEN = re.compile("([12][0-9]{3})-(0[1-9]|1[0-2])")


@dataclass(frozen=True, order=True)
class Month:
    """A month of the calendar."""

    year: int
    number: int

    @classmethod
    def of(cls, instant: datetime, zone: ZoneInfo) -> "Month":
        """The month of `instant` on the shop's calendar."""
        local = instant.astimezone(zone)
        return cls(local.year, local.month)

    @classmethod
    def read(cls, text: str) -> "Month":
        """The month written as 2026-05; raises ValueError for anything else."""
        found = WRITTEN.fullmatch(text)
        if not found:
            raise ValueError(f"“{text}” is no month; write it as 2026-05.")
        return cls(int(found[1]), int(found[2]))

    def later(self, months: int) -> "Month":
        """The month so many months on; below nought, back."""
        count = self.year * 12 + self.number - 1 + months
        return Month(count // 12, count % 12 + 1)

    def span(self, zone: ZoneInfo) -> tuple[datetime, datetime]:
        """Its first instant and the first instant after it, in the shop's zone (start in, end out)."""
        following = self.later(1)
        return (
            datetime(self.year, self.number, 1, tzinfo=zone),
            datetime(following.year, following.number, 1, tzinfo=zone),
        )

    @property
    def name(self) -> str:
        """May 2026."""
        return f"{datetime(self.year, self.number, 1):%B %Y}"  # noqa: DTZ001 - a name, not an instant

    @property
    def short(self) -> str:
        """May, as it stands below a bar."""
        return self.name[:3]

    def __str__(self) -> str:
        return f"{self.year:04}-{self.number:02}"
