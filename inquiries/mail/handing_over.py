"""One mail is handed to the mail server, and what became of it is told.

It went, goes later, was refused, or may have gone. Until the server is given the text itself nothing can have gone,
and all may be done again. `mark` is called right before; from there on only the server's answer tells, and where none
comes nobody knows.
"""

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum
from smtplib import (
    SMTP,
    SMTPAuthenticationError,
    SMTPException,
    SMTPResponseException,
    SMTPServerDisconnected,
)
from typing import Any, cast

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.smtp import EmailBackend

from inquiries.mail.composing import one_line

ANSWER_SECONDS = 120  # the server may take its time over the whole mail (RFC 5321, section 4.5.3.2.6)
PARTING_SECONDS = 5
NOBODY_KNOWS = (
    "The connection ended before the mail server had said whether it has the message, so it may have gone. "
    "Ask whether it arrived."
)


class End(StrEnum):
    """What became of it."""

    WENT = "went"
    LATER = "later"  # it did not go, and may go another time
    REFUSED = "refused"  # it did not go, and will not go as it stands
    UNSURE = "unsure"  # nobody knows
    NOT_OURS = "not-ours"  # somebody else has it in hand


@dataclass(frozen=True)
class Outcome:
    """The end, and why, as a sentence for the desk."""

    end: End
    words: str = ""


class Declined(Exception):
    """The server said no to the mail itself."""

    def __init__(self, code: int, words: bytes | str) -> None:
        super().__init__(said(code, words))
        self.end = End.REFUSED if 500 <= code < 600 else End.LATER  # RFC 5321, section 4.2.1


def hand_over(wire: bytes, *, sender: str, recipients: Sequence[str], mark: Callable[[], bool]) -> Outcome:
    """Give these bytes to the mail server, for all of the recipients or for none."""
    connection = get_connection()
    if not isinstance(connection, EmailBackend):
        return _by_backend(connection, wire, sender, recipients, mark)
    try:
        server = opened(connection)
        return _spoken(server, wire, sender, recipients, mark)
    except Declined as refusal:
        return Outcome(refusal.end, str(refusal))
    except (SMTPException, OSError) as error:
        return Outcome(End.LATER, trouble(error))
    finally:
        with suppress(SMTPException, OSError):
            connection.close()


def opened(connection: EmailBackend) -> SMTP:
    """The server, greeted, spoken to in secret and logged in, as the settings have it."""
    if not settings.EMAIL_HOST:
        raise OSError("No mail server is named. Set SHOP_MAIL_HOST.")
    connection.open()
    server = cast(SMTP, connection.connection)
    server.ehlo_or_helo_if_needed()
    return server


def addressed(server: SMTP, sender: str, recipients: Sequence[str], *, size: int = 0) -> None:
    """Name who sends and who receives; raises when either is refused, be it one recipient among several."""
    options = [f"size={size}"] if size and server.has_extn("size") else []
    code, words = server.mail(sender, options)
    if code != 250:
        raise Declined(code, words)
    for recipient in recipients:
        code, words = server.rcpt(recipient)
        if code not in {250, 251}:
            raise Declined(code, words)


def _spoken(
    server: SMTP, wire: bytes, sender: str, recipients: Sequence[str], mark: Callable[[], bool]
) -> Outcome:
    addressed(server, sender, recipients, size=len(wire))
    if not mark():
        return Outcome(End.NOT_OURS)
    code, words = server.docmd("DATA")
    if code != 354:
        raise Declined(code, words)
    return _given(server, wire)


def _given(server: SMTP, wire: bytes) -> Outcome:
    """The text itself, and the server's word on it."""
    try:
        _wait_for(server, ANSWER_SECONDS)
        server.send(_stuffed(wire) + b".\r\n")
        code, words = server.getreply()
        _wait_for(server, PARTING_SECONDS)
    except (SMTPException, OSError) as error:
        server.close()
        return Outcome(End.UNSURE, f"{trouble(error)} {NOBODY_KNOWS}")
    if code // 100 in {4, 5}:
        raise Declined(code, words)
    return Outcome(End.WENT) if code == 250 else Outcome(End.UNSURE, f"{said(code, words)} {NOBODY_KNOWS}")


def _wait_for(server: SMTP, seconds: int) -> None:
    if server.sock is not None:
        server.sock.settimeout(seconds)


def _stuffed(wire: bytes) -> bytes:
    """Lines that begin with a point begin with two (RFC 5321, section 4.5.2)."""
    return re.sub(rb"(?m)^\.", b"..", wire)


def said(code: int, words: bytes | str) -> str:
    """The server's own words, on one line."""
    text = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    return f"The mail server said: {code} {one_line(text)}".strip()


def trouble(error: Exception) -> str:
    """What went wrong before the mail itself was spoken of, as a sentence."""
    if isinstance(error, SMTPAuthenticationError):
        return f"The mail server refuses our log-in. {said(error.smtp_code, error.smtp_error)}"
    if isinstance(error, SMTPResponseException):
        return said(error.smtp_code, error.smtp_error)
    if isinstance(error, TimeoutError) or isinstance(error.__context__, TimeoutError):
        return "The mail server did not answer in time."
    if isinstance(error, SMTPServerDisconnected):
        return "The mail server ended the connection."
    if isinstance(error, ConnectionRefusedError):
        return "Nothing answers at the address of the mail server."
    return (
        one_line(getattr(error, "strerror", None) or str(error)) or "The connection to the mail server broke."
    )


def _by_backend(
    connection: Any, wire: bytes, sender: str, recipients: Sequence[str], mark: Callable[[], bool]
) -> Outcome:
    """Where mail is put into a folder, or kept in memory."""
    if not mark():
        return Outcome(End.NOT_OURS)
    try:
        connection.send_messages([_Wired(wire, sender, recipients)])
    except OSError as error:
        return Outcome(End.LATER, trouble(error))
    return Outcome(End.WENT)


class _Wired(EmailMessage):
    """The mail as it was composed, for a mail backend of Django."""

    def __init__(self, wire: bytes, sender: str, recipients: Sequence[str]) -> None:
        super().__init__("", "", sender, list(recipients))
        self.wire = wire

    def message(self, **how: Any) -> Any:
        """What the backend asks for its bytes."""
        return self

    def as_bytes(self, linesep: str = "\r\n") -> bytes:
        """The bytes that were kept."""
        return self.wire.replace(b"\r\n", linesep.encode())
