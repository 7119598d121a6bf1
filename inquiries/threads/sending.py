"""A message of ours goes to the mail server: composed once, when it is queued, and those bytes are what is sent."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from smtplib import SMTPException
from typing import Any

from django.core.mail import EmailMessage

from inquiries.mail.addresses import in_ascii, reply_address
from inquiries.mail.composing import Letter, composed
from inquiries.threads.models import Message
from shop.jobs.actions import TASKS, Finish, task
from shop.profile.queries import the_shop

Delivery = Message.Delivery


def new_message_id(entry: str = "") -> str:
    """A Message-ID of ours; the same for the same press."""
    domain = in_ascii(the_shop().email).rpartition("@")[2]
    return f"<{entry or uuid.uuid4().hex}@{domain or 'localhost'}>"


def queue(message: Message, headers: Mapping[str, str], *, at: datetime) -> None:
    """Compose the mail of a message that was just kept, and hand it to the worker."""
    shop, inquiry = the_shop(), message.inquiry
    message.wire = composed(
        Letter(
            message_id=message.message_id,
            at=at.astimezone(shop.zone),
            from_name=shop.name,
            from_email=shop.email,
            to=inquiry.contact.email,
            reply_to=reply_address(inquiry.pk, shop.email),
            subject=f"Re: {inquiry.subject}" if message.in_reply_to else inquiry.subject,
            text=message.body,
            in_reply_to=message.in_reply_to,
            references=message.references.split(),
            automatic=message.automatic,
            headers=headers,
        )
    )
    message.save(update_fields=["wire"])
    send_message.enqueue(at=at, key=f"mail-{message.pk}", message=message.pk)


@task
def send_message(message: int) -> Finish | None:
    """Hand one message to the mail server.

    It is marked before the server is called: a worker killed in between leaves it marked, and then
    nobody knows whether it went, so it is shown as stuck instead of being sent twice.
    """
    waiting = Message.objects.filter(pk=message, delivery=Delivery.WAITING)
    if not waiting.update(delivery=Delivery.SENDING):
        Message.objects.filter(pk=message, delivery=Delivery.SENDING).update(
            delivery=Delivery.STUCK,
            trouble="The work was interrupted while it was being sent. Ask whether it arrived.",
        )
        return None
    try:
        _Wired(Message.objects.select_related("inquiry__contact").get(pk=message)).send()
    except (SMTPException, OSError) as error:
        Message.objects.filter(pk=message).update(delivery=Delivery.WAITING, trouble=str(error)[:300])
        raise
    return lambda at: _sent(message, at=at)


TASKS["inquiries.threads.actions.send_message"] = send_message  # as jobs of an earlier release name it


def _sent(message: int, *, at: datetime) -> None:
    Message.objects.filter(pk=message, delivery=Delivery.SENDING).update(
        delivery=Delivery.SENT, sent_at=at, trouble=""
    )


class _Wired(EmailMessage):
    """The mail as it was composed, for a mail backend of Django."""

    def __init__(self, message: Message) -> None:
        super().__init__("", "", the_shop().email, [in_ascii(message.inquiry.contact.email)])
        self.wire = message.wire.encode("ascii")

    def message(self) -> Any:
        """What the backend asks for its bytes."""
        return self

    def as_bytes(self, linesep: str = "\r\n") -> bytes:
        """The bytes that were kept."""
        return self.wire.replace(b"\r\n", linesep.encode())
