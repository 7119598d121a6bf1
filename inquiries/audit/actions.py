"""Go through the books: make every check in one consistent read, and keep what was found."""

import logging
import threading
from datetime import datetime, timedelta

from django.db import connection
from django.utils import timezone

from inquiries.audit import book_checks, file_checks, hold_checks, paper_checks, sale_checks, thread_checks
from inquiries.audit.checks import CHECKS
from inquiries.audit.models import Audit
from inquiries.audit.reading import one_read
from inquiries.audit.rules import Finding
from shop.jobs.rounds import every

log = logging.getLogger("shop.audit")

ROOMS = (sale_checks, hold_checks, book_checks, paper_checks, thread_checks, file_checks)
DAILY = timedelta(days=1)


def audit(*, at: datetime | None = None, leave_out: frozenset[str] = frozenset()) -> list[Finding]:
    """All that is not in order, sorted, without the checks in `leave_out`. It only reads, and nobody waits for it.

    Without `at` it is the instant right after the read has begun, so that no deed that is seen lies ahead of it.
    """
    with one_read():
        now = at or timezone.now()
        return sorted(
            {found for name, check in CHECKS.items() if name not in leave_out for found in check(now)}
        )


def audit_and_keep(*, at: datetime | None = None) -> Audit:
    """Go through the books and keep what was found, for Today.

    Work that failed has a part of its own there, and that the worker is at work is shown by its making this round.
    """
    found = audit(at=at, leave_out=frozenset({"background work"}))
    at = at or timezone.now()
    return Audit.objects.create(at=at, found=[list(finding) for finding in found])


def made_lately(*, at: datetime) -> bool:
    """Whether the books were gone through within the day before `at`."""
    return Audit.objects.filter(at__gt=at - DAILY).exists()


_under_way = threading.Lock()


@every(timedelta(hours=1))
def daily(at: datetime) -> threading.Thread | None:
    """Once a day, in a thread of its own: reading every kept file takes its time, and no other work waits for it."""
    if made_lately(at=at) or not _under_way.acquire(blocking=False):
        return None
    going = threading.Thread(target=_go, name="audit", daemon=True)
    going.start()
    return going


def _go() -> None:
    try:
        audit_and_keep()
    except Exception:
        log.exception("the books could not be gone through")
    finally:
        connection.close()
        _under_way.release()
