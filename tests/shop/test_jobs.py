"""Background work: claimed by one, finished once, tried again with growing pauses."""

from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from shop.jobs.actions import MOST_TRIES, TASKS, Finish, Task, claim, lease, pause_after, run, task
from shop.jobs.models import Job
from shop.models import Series
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def count_up() -> Iterator[Task]:
    """A task that adds one to a number when it finishes."""

    @task
    def count(name: str) -> Finish:
        def finish(at: datetime) -> None:
            series, _ = Series.objects.get_or_create(name=name)
            Series.objects.filter(name=name).update(last=series.last + 1)

        return finish

    yield count
    del TASKS[count.name]


def counted() -> int:
    return sum(Series.objects.values_list("last", flat=True))


def test_a_job_is_not_claimed_before_it_is_due(count_up: Task) -> None:
    count_up.enqueue(at=NOON, name="a")
    assert claim(at=NOON - timedelta(seconds=1)) is None
    assert claim(at=NOON) is not None


def test_a_claimed_job_is_left_alone_until_its_lease_runs_out(count_up: Task) -> None:
    count_up.enqueue(at=NOON, name="a")
    first = claim(at=NOON)
    assert first is not None
    assert claim(at=NOON + lease() - timedelta(seconds=1)) is None
    second = claim(at=NOON + lease())
    assert second is not None
    assert second.tries == first.tries + 1


def test_a_job_taken_over_is_finished_once_although_two_workers_did_it(count_up: Task) -> None:
    count_up.enqueue(at=NOON, name="a")
    slow, quick = claim(at=NOON), claim(at=NOON + lease())
    assert slow is not None
    assert quick is not None
    run(quick, clock=lambda: NOON + lease())
    run(slow, clock=lambda: NOON + lease())
    assert counted() == 1
    assert Job.objects.get().state == Job.State.DONE


def test_one_key_is_one_job_until_it_is_done(count_up: Task) -> None:
    count_up.enqueue(at=NOON, key="k", name="a")
    count_up.enqueue(at=NOON, key="k", name="a")
    assert Job.objects.count() == 1
    job = claim(at=NOON)
    assert job is not None
    run(job, clock=lambda: NOON)
    count_up.enqueue(at=NOON, key="k", name="a")
    assert Job.objects.filter(state=Job.State.WAITING).count() == 1


def test_a_failing_job_is_tried_with_growing_pauses_and_then_given_up() -> None:
    @task
    def fail() -> Finish:
        raise OSError("the mail server is away")

    fail.enqueue(at=NOON)
    at = NOON
    for tries in range(1, MOST_TRIES + 1):
        job = claim(at=at)
        assert job is not None
        run(job, clock=lambda: at)  # noqa: B023
        job.refresh_from_db()
        assert (job.tries, job.error) == (tries, "OSError: the mail server is away")
        at = job.due
    del TASKS[fail.name]
    assert job.state == Job.State.FAILED
    assert claim(at=at + timedelta(days=9)) is None


def test_pauses_grow_fourfold_up_to_an_hour() -> None:
    assert [pause_after(tries).total_seconds() for tries in (1, 2, 3, 4, 9)] == [5, 20, 80, 320, 3600]
