"""Headers that keep a conversation together (RFC 5322, section 3.6.4), and pauses between tries; values alone."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

PAUSES_MINUTES = (1, 5, 15, 30, 60, 120, *[240] * 18)  # three days and some hours in all
ANSWERED = re.compile(r"^\s*((re|aw|sv|antw|fwd?|wg)\s*(\[\d+\])?\s*:\s*)+", re.IGNORECASE)

UNREAD = re.compile(
    r"(mailer-daemon|postmaster|no-?reply|do-?not-?reply|owner-.*|.*-(request|owner|bounces?))\Z"
)


@dataclass(frozen=True)
class Sent:
    """The threading headers of one message."""

    message_id: str
    in_reply_to: str = ""
    references: tuple[str, ...] = ()


def reply_headers(parent: Sent) -> tuple[str, tuple[str, ...]]:
    """In-Reply-To and References for an answer to `parent`.

    In-Reply-To is the parent's Message-ID. References is the parent's References, or its single
    In-Reply-To when it has none, followed by the parent's Message-ID.
    """
    before: Sequence[str] = parent.references
    if not before and len(parent.in_reply_to.split()) == 1:
        before = (parent.in_reply_to,)
    return parent.message_id, (*before, parent.message_id)


def answered_subject(subject: str) -> str:
    """The subject of an answer: “Re: ” stands once, whatever marks of answering stood before (section 3.6.5)."""
    return f"Re: {ANSWERED.sub('', subject)}"


def pause_after(tries: int) -> timedelta | None:
    """How long to wait after so many tries that did not reach the mail server's yes; None: it is given up.

    The pauses grow and the tries go on for days, as RFC 5321, section 4.5.4.1, has it; the first ones are shorter
    than its half-hour, since ours is handed to the shop's own server, and a buyer waits.
    """
    return timedelta(minutes=PAUSES_MINUTES[tries - 1]) if 0 < tries <= len(PAUSES_MINUTES) else None


def takes_automatic_mail(address: str, *, own: str) -> bool:
    """Whether something may go to this address by itself: never where no person reads, or where it would come back.

    RFC 3834, section 2, names MAILER-DAEMON and the like; the other names are common practice, no source.
    """
    address = address.strip().lower()
    local, _, domain = address.rpartition("@")
    plain = f"{local.partition('+')[0]}@{domain}"
    return bool(local) and local.isascii() and plain != own.strip().lower() and not UNREAD.match(local)
