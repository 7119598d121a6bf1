"""Headers that keep a conversation together (RFC 5322, section 3.6.4), from values alone."""

from collections.abc import Sequence
from dataclasses import dataclass


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
