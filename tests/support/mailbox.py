"""A real SMTP server on this machine, and what it was given."""

from collections.abc import Iterator
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

from tests.support.postgres import free_port


class Mailbox:
    """Keeps every message it receives; `refusing` answers with a failure instead."""

    def __init__(self) -> None:
        self.received: list[EmailMessage] = []
        self.refusing = ""

    async def handle_DATA(  # noqa: N802 - the name that aiosmtpd calls
        self, server: SMTP, session: Session, envelope: Envelope
    ) -> str:
        """Called by aiosmtpd for each message."""
        if self.refusing:
            return self.refusing
        message = message_from_bytes(envelope.content or b"", policy=policy.default)  # type: ignore[arg-type]
        self.received.append(message)
        return "250 kept"


@pytest.fixture
def mailbox(settings: Any) -> Iterator[Mailbox]:
    """A mail server that the site is set to send through."""
    box = Mailbox()
    controller = Controller(box, hostname="127.0.0.1", port=free_port())
    controller.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", controller.port
    settings.EMAIL_USE_TLS = False
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    try:
        yield box
    finally:
        controller.stop()
