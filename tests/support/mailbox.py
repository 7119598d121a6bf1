"""A real SMTP server on this machine, and what it was given."""

import asyncio
import threading
from collections.abc import Iterator
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

from tests.support.postgres import free_port


class Mailbox:
    """Keeps every message it receives, as read and as the bytes that came; set one of these to make it difficult.

    `refusing` answers the text with a failure instead, `refusing_sender` and `refusing_recipient` the addresses.
    `dropping` keeps the message and ends the connection without a word; `holding` keeps it and says nothing until
    `release`; `greeting_after` lets the caller wait for so many seconds.
    """

    def __init__(self) -> None:
        self.received: list[EmailMessage] = []
        self.wires: list[bytes] = []
        self.recipients: list[list[str]] = []
        self.senders: list[str] = []
        self.greeted = 0
        self.refusing = self.refusing_sender = self.refusing_recipient = ""
        self.dropping = self.holding = False
        self.greeting_after = 0.0
        self.has_one = threading.Event()
        self.lines: list[asyncio.Transport] = []

    def release(self) -> None:
        """Say what was held back."""
        self.holding = False

    async def handle_MAIL(  # noqa: N802 - the name that aiosmtpd calls, as those below
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        """Called by aiosmtpd for the sender."""
        if self.refusing_sender:
            return self.refusing_sender
        envelope.mail_from = address
        return "250 OK"

    async def handle_RCPT(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        """Called by aiosmtpd for each recipient."""
        if self.refusing_recipient:
            return self.refusing_recipient
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope
    ) -> str:
        """Called by aiosmtpd for each message."""
        if self.refusing:
            return self.refusing
        self._keep(envelope)
        while self.holding:
            await asyncio.sleep(0.02)
        if self.dropping and server.transport is not None:
            server.transport.close()
        return "250 kept"

    def _keep(self, envelope: Envelope) -> None:
        content = envelope.content
        assert isinstance(content, bytes)
        self.wires.append(content)
        self.received.append(message_from_bytes(content, policy=policy.default))  # type: ignore[arg-type]
        self.recipients.append(list(envelope.rcpt_tos))
        self.senders.append(envelope.mail_from or "")
        self.has_one.set()


class Desk(SMTP):
    """The server itself, slow to greet when the mailbox says so."""

    async def _handle_client(self) -> None:
        box = self.event_handler
        box.greeted += 1
        box.lines.append(self.transport)
        await asyncio.sleep(box.greeting_after)
        await super()._handle_client()


class MailServer(Controller):
    """Runs the server in a thread. `settings` are those of aiosmtpd's SMTP."""

    def __init__(self, box: Mailbox, **settings: Any) -> None:
        super().__init__(box, hostname="127.0.0.1", port=free_port(), ready_timeout=20, **settings)

    def factory(self) -> SMTP:
        """One for each connection."""
        return Desk(self.handler, **self.SMTP_kwargs)

    def stop(self, no_assert: bool = False) -> None:
        """End every connection that somebody left open, and then the server."""
        asyncio.run_coroutine_threadsafe(self._hang_up(), self.loop).result(timeout=20)
        super().stop(no_assert)

    async def _hang_up(self) -> None:
        for line in self.handler.lines:
            line.abort()
        await asyncio.sleep(0.05)


@pytest.fixture
def mailbox(settings: Any) -> Iterator[Mailbox]:
    """A mail server that the site is set to send through."""
    box = Mailbox()
    controller = MailServer(box)
    controller.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", controller.port
    settings.EMAIL_USE_TLS = False
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    try:
        yield box
    finally:
        box.release()
        controller.stop()
