"""Rounds: small work that the worker does again and again, as long as it is there.

A round is for upkeep that may be missed or done twice without harm; what must be done once is a job.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

log = logging.getLogger("shop.jobs")

Round = Callable[[datetime], object]
ROUNDS: dict[Round, timedelta] = {}


def every(pause: timedelta) -> Callable[[Round], Round]:
    """Decorator: the worker calls it with the instant, at once when it starts and then after each `pause`."""

    def note(work: Round) -> Round:
        ROUNDS[work] = pause
        return work

    return note


@dataclass
class Rounds:
    """The rounds of one worker: what is due, and when each was last made."""

    made: dict[Round, datetime] = field(default_factory=dict)

    def go(self, *, at: datetime) -> None:
        """Make those that are due. One that fails is told in the log, and made again at its next time."""
        for work, pause in ROUNDS.items():
            last = self.made.get(work)
            if last is not None and at < last + pause:
                continue
            self.made[work] = at
            try:
                work(at)
            except Exception:
                log.exception("the round %s failed", work.__qualname__)
