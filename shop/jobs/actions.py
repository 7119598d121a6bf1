"""Hand work to the worker, claim it, and finish it exactly once.

A job may be started more than once (a worker can be killed), but finished only once: the task
hands back a `finish` function, which runs in the transaction that marks the job done, and only
while this try still holds the job.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import F, Q

from shop.history.actions import record
from shop.jobs.models import Job
from shop.staff.models import User

log = logging.getLogger("shop.jobs")

MOST_TRIES = 6


def lease() -> timedelta:
    """How long a claimed job is left alone before it counts as dropped."""
    return timedelta(seconds=settings.JOB_LEASE_SECONDS)


Finish = Callable[[datetime], None]
TaskFunction = Callable[..., Finish | None]


@dataclass(frozen=True)
class Task:
    """A named piece of work; `enqueue` puts it in the job table, in the caller's transaction."""

    name: str
    function: TaskFunction

    def enqueue(self, *, at: datetime, key: str | None = None, **arguments: Any) -> Job:
        """Add the job, due at `at`. With a `key` that already waits, hand back the one that is there."""
        if key is None:
            return Job.objects.create(task=self.name, arguments=arguments, due=at)
        job, _ = Job.objects.get_or_create(
            key=key, defaults={"task": self.name, "arguments": arguments, "due": at}
        )
        return job


TASKS: dict[str, Task] = {}


def task(function: TaskFunction) -> Task:
    """Decorator: register `function` under its module and name."""
    made = Task(f"{function.__module__}.{function.__name__}", function)
    TASKS[made.name] = made
    return made


def claim(*, at: datetime) -> Job | None:
    """Take the next due job whose lease is free, or None. Two workers never take the same try."""
    free = Q(state=Job.State.WAITING, due__lte=at) | Q(state=Job.State.RUNNING, lease_until__lte=at)
    seen = Job.objects.filter(free).order_by("due", "pk").first()
    if seen is None:
        return None
    won = Job.objects.filter(free, pk=seen.pk, tries=seen.tries).update(
        state=Job.State.RUNNING, tries=F("tries") + 1, lease_until=at + lease()
    )
    return Job.objects.get(pk=seen.pk) if won else None


def extend(job: Job, *, at: datetime) -> bool:
    """Keep the lease alive while the work goes on; False when another worker has taken over."""
    return bool(_held(job).update(lease_until=at + lease()))


def run(job: Job, *, clock: Callable[[], datetime]) -> None:
    """Do the work of a claimed job, then finish it, or put it back with a growing pause."""
    try:
        finish = TASKS[job.task].function(**job.arguments)
        _complete(job, finish, at=clock())
    except Exception as error:
        log.exception("job %s failed on try %s", job.task, job.tries)
        _put_back(job, error, at=clock())


@transaction.atomic
def _complete(job: Job, finish: Finish | None, *, at: datetime) -> None:
    if not _held(job).update(state=Job.State.DONE, lease_until=None, finished_at=at, error="", key=None):
        return
    if finish is not None:
        finish(at)


def _put_back(job: Job, error: Exception, *, at: datetime) -> None:
    gone = job.tries >= MOST_TRIES
    _held(job).update(
        state=Job.State.FAILED if gone else Job.State.WAITING,
        due=at + pause_after(job.tries),
        lease_until=None,
        error=f"{type(error).__name__}: {error}"[:2000],
    )


@transaction.atomic
def try_again(job: Job, *, by: User | None, at: datetime) -> None:
    """Put a job that was given up back in the line; pressed twice, it is one job still."""
    given_up = Job.objects.filter(pk=job.pk, state=Job.State.FAILED)
    if given_up.update(state=Job.State.WAITING, tries=0, due=at, error=""):
        record(job, "tried again", by=by, at=at, old=job.error[:200])


def pause_after(tries: int) -> timedelta:
    """How long to wait after the nth failed try: 5 s, 20 s, 80 s … at most an hour."""
    return min(timedelta(seconds=5 * 4 ** max(tries - 1, 0)), timedelta(hours=1))


def _held(job: Job) -> Any:
    return Job.objects.filter(pk=job.pk, state=Job.State.RUNNING, tries=job.tries)
