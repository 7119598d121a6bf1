"""Look into the mailbox: a round of the worker, each minute, and `manage.py fetch_mail`."""

import logging
import threading
from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.db import DatabaseError, connection
from django.utils import timezone

from inquiries.mail import imap, maildir
from inquiries.mail.models import MailFolder
from shop.jobs.rounds import every

log = logging.getLogger("shop.mail")

Clock = Callable[[], datetime]
PAUSES = (5, 15, 60, 300)  # seconds before a mailbox that is away is tried again


def is_set() -> bool:
    """Whether there is a mailbox to look into."""
    return bool(settings.INBOX_HOST or settings.INBOX_MAILDIR)


def fetch(*, clock: Clock = timezone.now) -> list[str]:
    """Take in what is new in each mailbox; what went wrong, in sentences, which the desk shows too."""
    troubles = []
    if settings.INBOX_MAILDIR:
        troubles.append(fetch_from_maildir(clock=clock))
    if settings.INBOX_HOST:
        troubles.append(fetch_by_imap(clock=clock))
    return [trouble for trouble in troubles if trouble]


def fetch_by_imap(*, clock: Clock) -> str:
    """Look once; the trouble in a sentence, or nothing."""
    try:
        with imap.opened() as box:
            imap.look(box, clock=clock)
    except imap.TROUBLES as problem:
        return _noted(imap.folder_name(), imap.spoken(problem))
    return ""


def fetch_from_maildir(*, clock: Clock) -> str:
    """Look once; the trouble in a sentence, or nothing."""
    try:
        maildir.look(clock=clock)
    except OSError as problem:
        return _noted(maildir.folder_name(), maildir.spoken(problem))
    return ""


def _noted(name: str, trouble: str) -> str:
    folder, _ = MailFolder.objects.get_or_create(name=name)
    MailFolder.objects.filter(pk=folder.pk).update(trouble=trouble[:300])
    return trouble


def watch(
    stop: threading.Event, *, clock: Clock = timezone.now, tell: Callable[[str], object] = log.warning
) -> None:
    """Stay with the mailbox until `stop` is set; one that is away is tried again after growing pauses."""
    failed = 0
    while not stop.is_set():
        try:
            with imap.opened() as box:
                failed = 0
                imap.watch(box, stop, clock=clock)
        except (*imap.TROUBLES, DatabaseError) as problem:
            tell(_told(problem))
            stop.wait(PAUSES[min(failed, len(PAUSES) - 1)])
            failed += 1


def _told(problem: BaseException) -> str:
    if isinstance(problem, DatabaseError):
        connection.close()
        return f"The database did not answer: {problem}. Nothing was marked as read."
    return _noted(imap.folder_name(), imap.spoken(problem))


_under_way = threading.Lock()


@every(timedelta(minutes=1))
def look_into_mailbox(at: datetime) -> threading.Thread | None:
    """Look in a thread of its own, so that a slow mail server keeps no other work waiting; one look at a time."""
    if not is_set() or not _under_way.acquire(blocking=False):
        return None
    looking = threading.Thread(target=_look, name="mailbox", daemon=True)
    looking.start()
    return looking


def _look() -> None:
    try:
        fetch()
    except Exception:
        log.exception("mail could not be taken in; it stays in the mailbox, unread")
    finally:
        connection.close()
        _under_way.release()
