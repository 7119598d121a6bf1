"""What is wrong with the settings of mail, each thing in a sentence that says what to do."""

import os
import socket
import ssl
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from smtplib import SMTP, SMTPAuthenticationError, SMTPException, SMTPNotSupportedError
from typing import NamedTuple

from django.conf import settings
from django.core.mail import get_connection
from django.core.mail.backends.smtp import EmailBackend

from inquiries.mail import imap
from inquiries.mail.addresses import in_ascii, reply_address
from inquiries.mail.handing_over import Declined, addressed, opened, trouble


class Finding(NamedTuple):
    """One thing that was looked at: whether it is wrong, and the sentence."""

    wrong: bool
    says: str


def found(shop_email: str) -> Iterator[Finding]:
    """Everything, in the order in which a mail goes: our address, the way out, the way in."""
    own = list(of_address(shop_email))
    yield from own
    yield from of_way_out("" if any(finding.wrong for finding in own) else shop_email)
    yield from of_maildir()
    yield from of_imap()


def of_address(shop_email: str) -> Iterator[Finding]:
    """The address that the shop writes from."""
    if not shop_email:
        yield Finding(
            True,
            "The shop has no e-mail address. Write it into the shop's profile, at the desk under “Shop”.",
        )
        return
    try:
        domain = in_ascii(shop_email).rpartition("@")[2]
    except ValueError:
        yield Finding(
            True, f"{shop_email} has letters before the @ that not every mail server takes. Use another one."
        )
        return
    if "." not in domain.strip("."):
        yield Finding(
            True, f"{shop_email} has no whole domain behind the @. Put it right in the shop's profile."
        )
        return
    yield Finding(False, f"Mail is written from {shop_email}.")


def of_way_out(shop_email: str) -> Iterator[Finding]:
    """The server that sends; with an address, whether it sends for that address."""
    connection = get_connection()
    if not isinstance(connection, EmailBackend):
        yield Finding(
            False, f"No mail leaves this machine: it is put into {settings.EMAIL_FILE_PATH or 'memory'}."
        )
        return
    if not settings.EMAIL_HOST:
        yield Finding(
            True,
            "No mail server is named. Set SHOP_MAIL_HOST to the one that sends your mail; "
            "a provider calls it the outgoing server, or SMTP.",
        )
        return
    try:
        server = opened(connection)
        yield Finding(False, f"The mail server at {_where()} answers{_how()}.")
        if shop_email:
            yield from _of_sender(server, shop_email)
    except (SMTPException, OSError) as error:
        yield Finding(True, _spoken(error))
    finally:
        with suppress(SMTPException, OSError):
            connection.close()


def _how() -> str:
    ways = ["speaks TLS"] if settings.EMAIL_USE_TLS or settings.EMAIL_USE_SSL else []
    ways += ["takes our log-in"] if settings.EMAIL_HOST_USER and settings.EMAIL_HOST_PASSWORD else []
    return "".join(f", {way}" for way in ways)


def _where() -> str:
    return f"{settings.EMAIL_HOST}, port {settings.EMAIL_PORT}"


def _spoken(error: Exception) -> str:
    """What stands in the way of the server, and what to do."""
    where = _where()
    if isinstance(error, socket.gaierror):
        return f"The name {settings.EMAIL_HOST} is not found. Look at its spelling in SHOP_MAIL_HOST."
    if isinstance(error, ConnectionRefusedError):
        return f"Nothing answers at {where}. Look at SHOP_MAIL_PORT: it is 587 with most providers, or 465."
    if isinstance(error, TimeoutError) or isinstance(error.__context__, TimeoutError):
        return (
            f"{where} did not answer in time. Look at SHOP_MAIL_PORT, and whether a firewall stands between."
        )
    if isinstance(error, ssl.SSLCertVerificationError):
        return (
            f"The certificate of {where} is not good: {error.verify_message.rstrip('.')}. "
            "Set SHOP_MAIL_HOST to the name that stands in the certificate, or have it put right."
        )
    if isinstance(error, ssl.SSLError):
        return f"{where} does not speak TLS as it should. With TLS from the first byte the port is 465, else 587."
    return _of_talk(error, where)


def _of_talk(error: Exception, where: str) -> str:
    if isinstance(error, SMTPNotSupportedError) and "STARTTLS" in str(error):
        return (
            f"{where} offers no TLS, so nothing was sent to it. Set SHOP_MAIL_PORT to one that does; "
            "set SHOP_MAIL_TLS to no only for a server on this machine."
        )
    if isinstance(error, SMTPNotSupportedError):
        return f"{where} takes no log-in. Unset SHOP_MAIL_USER and SHOP_MAIL_PASSWORD, or look at the port."
    if isinstance(error, SMTPAuthenticationError):
        return (
            f"{trouble(error)}. Look at SHOP_MAIL_USER and SHOP_MAIL_PASSWORD; "
            "some providers want a password made for programs."
        )
    return f"{where} cannot be used. {trouble(error)}"


def _of_sender(server: SMTP, shop_email: str) -> Iterator[Finding]:
    """Whether it sends for us, and whether it knows the address that answers come back to. No mail is sent."""
    own = in_ascii(shop_email)
    try:
        addressed(server, own, [])
    except Declined as no:
        yield Finding(
            True,
            f"The mail server does not send for {shop_email}. {no}. Use the address that belongs to SHOP_MAIL_USER, "
            "or set user and password where none are set.",
        )
        return
    yield Finding(False, f"The mail server sends for {shop_email}.")
    server.rset()
    yield from _of_signed(server, own)


def _of_signed(server: SMTP, own: str) -> Iterator[Finding]:
    signed = reply_address(1, own)
    if signed == own:
        yield Finding(
            False, "Answers come back to the plain address; threads are told by the headings alone."
        )
        return
    example = f"{own.replace('@', '+word@')}"
    try:
        addressed(server, own, [signed])
    except Declined as no:
        yield Finding(True, f"The mail server takes no mail for {example}. {no}. Set SHOP_MAIL_PLUS to no.")
    else:
        yield Finding(
            False,
            f"Answers come back to addresses like {example}. Try once that such mail arrives: "
            f"manage.py check_mail --send {example}; if it does not, set SHOP_MAIL_PLUS to no.",
        )
    server.rset()


def of_maildir() -> Iterator[Finding]:
    """The maildir that is read, if one is."""
    if not settings.INBOX_MAILDIR:
        return
    home = Path(settings.INBOX_MAILDIR)
    for name in ("new", "cur", "tmp"):
        if not (home / name).is_dir():
            yield Finding(
                True, f"{home} is no maildir: it has no folder “{name}”. Look at SHOP_INBOX_MAILDIR."
            )
            return
    closed = [name for name in ("new", "cur") if not os.access(home / name, os.R_OK | os.W_OK | os.X_OK)]
    if closed:
        yield Finding(
            True,
            f"“{closed[0]}” in the maildir {home} cannot be written by this account. Give it the right to.",
        )
        return
    yield Finding(False, f"Mail is read from the maildir {home}.")


def of_imap() -> Iterator[Finding]:
    """The mailbox that is read, if one is."""
    if not settings.INBOX_HOST:
        if not settings.INBOX_MAILDIR:
            yield Finding(
                False, "No mailbox is read. Set SHOP_INBOX_HOST, or SHOP_INBOX_MAILDIR, to have mail fetched."
            )
        return
    try:
        with imap.opened() as box:
            if not box.folder.exists(settings.INBOX_FOLDER):
                names = ", ".join(folder.name for folder in box.folder.list())
                yield Finding(
                    True,
                    f"The mailbox has no folder {settings.INBOX_FOLDER}. Set SHOP_INBOX_FOLDER to one of: {names}.",
                )
                return
            box.folder.set(settings.INBOX_FOLDER, readonly=True)
    except imap.TROUBLES as problem:
        yield Finding(True, f"{imap.spoken(problem)} {_mended(problem)}")
        return
    yield Finding(False, f"Mail is read from {imap.folder_name()}.")


def _mended(problem: BaseException) -> str:
    if isinstance(problem, socket.gaierror):
        return "Look at the spelling of SHOP_INBOX_HOST."
    if isinstance(problem, ssl.SSLError):
        return "Look at SHOP_INBOX_HOST, which must be the name in the certificate, and at SHOP_INBOX_PORT."
    if isinstance(problem, OSError):
        return "Look at SHOP_INBOX_HOST and SHOP_INBOX_PORT: it is 993 with most providers."
    return "Look at SHOP_INBOX_USER, SHOP_INBOX_PASSWORD and SHOP_INBOX_TLS."
