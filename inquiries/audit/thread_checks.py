"""Threads and background work: the copies that lists read, and what is stuck."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.urls import reverse

from inquiries.audit.checks import check
from inquiries.audit.rules import Finding
from inquiries.threads.models import Inquiry
from inquiries.threads.turns import with_turns
from shop.jobs.models import Job

STUCK_AFTER = timedelta(hours=1)
START = "Start the worker, `manage.py serve` or `manage.py worker`; if it runs, its log says why."


@check("whose turn it is")
def turns(at: datetime) -> Iterator[Finding]:
    """What lists read of a thread, its last word and since when it waits, is what its messages say."""
    for inquiry in with_turns(Inquiry.objects.all()).order_by("pk").iterator(chunk_size=500):
        last, since = inquiry.true_last_at, inquiry.true_waiting_since  # type: ignore[attr-defined]
        if inquiry.last_at != last or inquiry.waiting_since != (None if inquiry.done_at else since):
            yield Finding(
                f"Thread {inquiry.pk}",
                "the inbox does not say what its messages say.",
                "The messages count. The next word in the thread sets it right.",
                reverse("inquiry", args=[inquiry.pk]),
            )


@check("background work")
def work(at: datetime) -> Iterator[Finding]:
    """No job was given up, and none has waited for an hour beyond its instant."""
    for job in Job.objects.filter(state=Job.State.FAILED).order_by("due", "pk"):
        what = f"it was given up after {job.tries} tries: {job.error.partition(': ')[2] or job.error}"
        yield Finding(
            f"Work {job.pk} ({job.task})",
            what,
            "Mend what it names, then try again on Today.",
            reverse("today"),
        )
    waiting = Job.objects.filter(state=Job.State.WAITING, due__lte=at - STUCK_AFTER)
    dropped = Job.objects.filter(state=Job.State.RUNNING, lease_until__lte=at - STUCK_AFTER)
    for job in (waiting | dropped).order_by("due", "pk"):
        yield Finding(
            f"Work {job.pk} ({job.task})", f"it should have been done at {job.due:%Y-%m-%d %H:%M} UTC.", START
        )
