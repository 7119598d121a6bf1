"""A mailbox read by IMAP (RFC 3501). A message is marked as read there only after it is safe here.

How far the folder has been read is kept by UID. Where the server says that its UIDs count anew (UIDVALIDITY), the
messages since our first are fetched again, and those that are here already are known by their key.
"""

import errno
import imaplib
import re
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime, timedelta

from django.conf import settings
from imap_tools import BaseMailBox, MailBox, MailBoxStartTls, MailBoxUnencrypted
from imap_tools.errors import (
    ImapToolsError,
    MailboxFetchError,
    MailboxFlagError,
    MailboxFolderSelectError,
    MailboxLoginError,
)
from imap_tools.utils import check_command_status

from inquiries.mail.actions import take_in
from inquiries.mail.models import MailFolder, ReceivedMail

Clock = Callable[[], datetime]
TIMEOUT = 30  # seconds without a byte
IDLE_FOR = timedelta(minutes=5)  # RFC 2177 has it ended after 29 minutes at the latest
STARTTLS_PORT = 143
# What a server that is away, refuses, or is cut off comes as.
TROUBLES = (OSError, imaplib.IMAP4.error, ImapToolsError)
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
CANNOT_MARK = "The mail is here, but the server does not let it be marked as read."


def folder_name() -> str:
    """The folder that is read, for the eye."""
    return f"{settings.INBOX_FOLDER} of {settings.INBOX_USER} at {settings.INBOX_HOST}"[:255]


@contextmanager
def opened() -> Iterator[BaseMailBox]:
    """The mailbox, logged in, without a folder chosen. Raises one of TROUBLES."""
    box = _connected()
    try:
        name, password = settings.INBOX_USER, settings.INBOX_PASSWORD
        log_in = box.login if (name + password).isascii() else box.login_utf8
        log_in(name, password, initial_folder=None)
        yield box
    finally:
        with suppress(*TROUBLES):  # a line that is cut cannot be closed in good order
            box.client.logout()
        with suppress(*TROUBLES):
            box.client.shutdown()


def _connected() -> BaseMailBox:
    host, port = settings.INBOX_HOST, settings.INBOX_PORT
    if not settings.INBOX_TLS:
        return MailBoxUnencrypted(host, port, timeout=TIMEOUT)
    kind = MailBoxStartTls if port == STARTTLS_PORT else MailBox
    return kind(host, port, timeout=TIMEOUT, ssl_context=ssl.create_default_context())


def look(box: BaseMailBox, *, clock: Clock) -> int:
    """Take in what is new in the folder; how many messages were looked at. Raises one of TROUBLES.

    The row of the folder is set on after each message, so what was cut off goes on where it was. On the first look,
    and when UIDs count anew, it is set on at the end only.
    """
    box.folder.set(settings.INBOX_FOLDER)
    validity = int(box.client.response("UIDVALIDITY")[1][0] or 0)
    folder, _ = MailFolder.objects.get_or_create(name=folder_name())
    anew, marked = folder.uid_validity != validity, True
    uids = _wanted(box, folder, anew=anew)
    for uid in uids:
        marked = _one(box, uid, clock=clock) and marked
        if not anew:
            MailFolder.objects.filter(pk=folder.pk).update(last_uid=uid)
    last = max([*uids, *_all(box)], default=0) if anew else max([*uids, folder.last_uid])
    MailFolder.objects.filter(pk=folder.pk).update(
        uid_validity=validity, last_uid=last, looked_at=clock(), trouble="" if marked else CANNOT_MARK
    )
    return len(uids)


def _wanted(box: BaseMailBox, folder: MailFolder, *, anew: bool) -> list[int]:
    """UIDs to fetch, rising. On the first look those that nobody has read: the rest was answered elsewhere."""
    if not anew:
        found = _search(box, f"UID {folder.last_uid + 1}:*")  # “*” is the last one, be it older
        return [uid for uid in found if uid > folder.last_uid]
    first = ReceivedMail.objects.order_by("received_at").first()
    if folder.uid_validity == 0 or first is None:
        return _search(box, "UNSEEN")
    since = first.received_at - timedelta(days=2)
    return _search(box, f"SINCE {since.day}-{MONTHS[since.month - 1]}-{since.year}")


def _all(box: BaseMailBox) -> list[int]:
    return _search(box, "ALL")


def _search(box: BaseMailBox, what: str) -> list[int]:
    return sorted(int(uid) for uid in box.uids(what, charset=None))


def _one(box: BaseMailBox, uid: int, *, clock: Clock) -> bool:
    """Fetch one message, keep it, and only then mark it as read; whether the server let it be marked."""
    size = _size(box, uid)
    if size is None:  # taken away meanwhile
        return True
    if size > settings.MAX_MAIL_BYTES:
        heads = _fetched(box, uid, "BODY.PEEK[HEADER]")
        if heads is not None:
            take_in(heads, at=clock(), left_behind=size)
        return True
    raw = _fetched(box, uid, "BODY.PEEK[]")
    if raw is None:
        return True
    take_in(raw, at=clock())
    answer = box.client.uid("STORE", str(uid), "+FLAGS.SILENT", r"(\Seen)")
    with suppress(MailboxFlagError):
        check_command_status(answer, MailboxFlagError)
        return True
    return False


def _size(box: BaseMailBox, uid: int) -> int | None:
    answer = box.client.uid("FETCH", str(uid), "(RFC822.SIZE)")
    check_command_status(answer, MailboxFetchError)
    for line in answer[1]:
        if found := re.search(rb"RFC822\.SIZE (\d+)", line if isinstance(line, bytes) else b""):
            return int(found.group(1))
    return None


def _fetched(box: BaseMailBox, uid: int, what: str) -> bytes | None:
    """The bytes of a message, or None when it is there no more. PEEK leaves it unread."""
    answer = box.client.uid("FETCH", str(uid), f"({what})")
    check_command_status(answer, MailboxFetchError)
    return next((bytes(item[1]) for item in answer[1] if isinstance(item, tuple)), None)


def watch(box: BaseMailBox, stop: threading.Event, *, clock: Clock) -> None:
    """Take in what is new, and wait for the server to tell of more, until `stop` is set. Raises one of TROUBLES."""
    while not stop.is_set():
        look(box, clock=clock)
        if b"IDLE" in _capabilities(box):
            _idle(box, stop)
        else:
            stop.wait(60)


def _capabilities(box: BaseMailBox) -> set[bytes]:
    return set(b" ".join(box.client.capability()[1]).upper().split())


def _idle(box: BaseMailBox, stop: threading.Event) -> None:
    """Wait until the server tells of something, or the time is over (RFC 2177)."""
    with box.idle as idle:
        for _ in range(int(IDLE_FOR.total_seconds())):
            if idle.poll(timeout=1) or stop.is_set():
                return


def spoken(problem: BaseException) -> str:
    """What is wrong with the mailbox, in a sentence."""
    where = f"{settings.INBOX_HOST}, port {settings.INBOX_PORT}"
    if isinstance(problem, MailboxLoginError):
        return f"The mailbox at {where} does not accept the user name with this password."
    if isinstance(problem, MailboxFolderSelectError):
        return f"The mailbox at {where} has no folder {settings.INBOX_FOLDER}."
    if isinstance(problem, ssl.SSLError):
        return f"No safe line to the mailbox at {where}: {problem.reason or problem}."[:300]
    if isinstance(problem, OSError) and problem.errno in {errno.ENOSPC, errno.EDQUOT}:
        return "The disk of the shop is full. Mail stays in the mailbox, unread, until there is room."
    if isinstance(problem, OSError):
        return f"The mailbox at {where} cannot be reached, or the line was cut: {problem}."[:300]
    return f"The mailbox at {where} answered with a fault: {problem}."[:300]
