"""The background worker's loop."""

import logging
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime

from django.db import DatabaseError, connection
from django.utils import timezone

from shop.jobs.actions import claim, extend, lease, run
from shop.jobs.models import Job
from shop.jobs.rounds import Rounds

log = logging.getLogger("shop.jobs")

IDLE_SECONDS = 0.5


def work(stop: threading.Event, *, clock: Callable[[], datetime] = timezone.now) -> None:
    """Claim and run jobs, and make the rounds, until `stop` is set; a database that is away is waited for."""
    rounds = Rounds()
    while not stop.is_set():
        try:
            rounds.go(at=clock())
            busy = work_one(clock=clock)
        except DatabaseError:
            log.exception("the database did not answer; trying again")
            connection.close()
            busy = False
        if not busy:
            stop.wait(IDLE_SECONDS)


def work_one(*, clock: Callable[[], datetime] = timezone.now) -> bool:
    """Run the next due job, if there is one."""
    job = claim(at=clock())
    if job is None:
        return False
    with _lease_kept(job, clock):
        run(job, clock=clock)
    return True


def drain(*, clock: Callable[[], datetime] = timezone.now) -> int:
    """Run every job that is due now (demo loading and tests); the number run."""
    done = 0
    while work_one(clock=clock):
        done += 1
    return done


@contextmanager
def _lease_kept(job: Job, clock: Callable[[], datetime]) -> Iterator[None]:
    """Extend the lease from a second thread, so that long work is not taken for dead."""
    over = threading.Event()

    def keep() -> None:
        try:
            while not over.wait(lease().total_seconds() / 3):
                extend(job, at=clock())
        finally:
            connection.close()

    keeper = threading.Thread(target=keep, daemon=True)
    keeper.start()
    try:
        yield
    finally:
        over.set()
        keeper.join(timeout=1)
