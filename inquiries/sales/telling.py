"""What the person of a hold should know of it, and whether they were told: from values alone."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from inquiries.sales.hold_models import Hold, HoldNotice

What = HoldNotice.What
IN_FORCE = {Hold.State.ACTIVE, Hold.State.QUEUED}


@dataclass(frozen=True)
class Telling:
    """One thing to be told, since when it is so, and the last notice of it, if there is one."""

    what: HoldNotice.What
    since: datetime
    notice: HoldNotice | None

    @property
    def told(self) -> bool:
        """Whether they know."""
        return self.notice is not None

    @property
    def held_up(self) -> bool:
        """Whether it was written to them, and the mail has not gone."""
        return bool(self.notice and self.notice.message and self.notice.message.held_up)


@dataclass(frozen=True)
class Row:
    """One hold among those that stand: whether it runs, what its person knows, and whether they know it rightly."""

    hold: Hold
    runs: bool
    tellings: Sequence[Telling]
    told_otherwise: HoldNotice | None

    @property
    def untold(self) -> Telling | None:
        """The last thing that they have not been told; what came later says all that came before."""
        last = self.tellings[-1] if self.tellings else None
        return last if last and not last.told else None

    @property
    def to_mend(self) -> HoldNotice.What:
        """What to tell somebody who was told otherwise: the last thing that has happened to the hold."""
        return self.tellings[-1].what


def row_of(hold: Hold, *, at: datetime) -> Row:
    """A hold with its notices read: how it stands at `at`, whether or not the books are brought up to it."""
    notices = list(hold.notices.all())
    return Row(hold, runs(hold, at=at), tellings(hold, notices, at=at), told_otherwise(hold, notices, at=at))


def stands(hold: Hold, *, at: datetime) -> bool:
    """Whether the promise still stands: running, or in the queue."""
    return hold.state in IN_FORCE and (hold.until is None or hold.until > at)


def runs(hold: Hold, *, at: datetime) -> bool:
    """Whether the promise runs."""
    return stands(hold, at=at) and hold.starts_at is not None and hold.starts_at <= at


def ended_at(hold: Hold, *, at: datetime) -> datetime | None:
    """When it ended: as the books say, or by the clock alone where nobody has brought them up to it."""
    if hold.state not in IN_FORCE:
        return hold.ended_at
    return hold.until if hold.until and hold.until <= at else None


def events(hold: Hold, *, at: datetime) -> list[tuple[HoldNotice.What, datetime]]:
    """What has happened to a hold that its person should know, in the order of time."""
    found = [(What.PLACED, hold.asked_at)]
    if hold.starts_at and hold.asked_at < hold.starts_at <= at:
        found.append((What.MOVED_UP, hold.starts_at))
    if hold.extended_at:
        found.append((What.EXTENDED, hold.extended_at))
    ended = ended_at(hold, at=at)
    if ended and hold.state != Hold.State.SALE:
        found.append((What.ENDED, ended))
    return found


def tellings(hold: Hold, notices: Iterable[HoldNotice], *, at: datetime) -> list[Telling]:
    """Each of these things, with the notice that they have it from."""
    known = sorted(notices, key=lambda notice: (notice.at, notice.pk))
    return [
        Telling(
            what,
            since,
            next((notice for notice in reversed(known) if notice.what == what and notice.at >= since), None),
        )
        for what, since in events(hold, at=at)
    ]


def told_otherwise(hold: Hold, notices: Sequence[HoldNotice], *, at: datetime) -> HoldNotice | None:
    """The last notice, where it gave another end than the one that stands; nothing for what stands no longer."""
    if not notices or not stands(hold, at=at):
        return None
    last = max(notices, key=lambda notice: (notice.at, notice.pk))
    return last if last.until != hold.until else None


def may_be_told(hold: Hold, *, at: datetime) -> list[HoldNotice.What]:
    """What is true of a hold and can be told now."""
    found = [what for what, _ in events(hold, at=at)]
    return [*found, What.ENDING] if runs(hold, at=at) else found


def span_said(hold: Any) -> str:
    """The span of a hold as one text, by which a form knows whether it has changed meanwhile."""
    return "/".join(instant.isoformat() if instant else "" for instant in (hold.starts_at, hold.until))
