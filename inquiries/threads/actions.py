"""Take a question in, answer it, and hand the answer to the mail server once."""

import uuid
from datetime import datetime
from smtplib import SMTPException

from django.core.mail import EmailMessage
from django.db import transaction

from catalog.models import Instrument
from inquiries.people.actions import contact_for
from inquiries.people.models import Contact
from inquiries.threads.letters import acknowledgement
from inquiries.threads.models import Inquiry, Message
from inquiries.threads.rules import Sent, reply_headers
from inquiries.threads.turns import settle
from shop.history.actions import record
from shop.jobs.actions import Finish, task
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

Delivery = Message.Delivery


@transaction.atomic
def receive_question(
    instrument: Instrument, *, name: str, email: str, telephone: str, text: str, at: datetime
) -> Inquiry:
    """Keep a question from the public form, and acknowledge it by mail.

    The same person asking again about the same instrument goes on in the open thread.
    """
    contact = contact_for(name, email, telephone, at=at)
    inquiry = open_inquiry(contact, instrument, by=None, at=at)
    add_message(inquiry, text, ours=False, channel=Message.Channel.FORM, by=None, at=at)
    _post(inquiry, acknowledgement(inquiry, the_shop()), automatic=True, by=None, at=at)
    return inquiry


@transaction.atomic
def open_inquiry(
    contact: Contact, instrument: Instrument | None, *, by: User | None, at: datetime, matter: str = ""
) -> Inquiry:
    """The open thread of a person on an instrument, or on another matter; opened when there is none."""
    about: dict[str, object] = {"instrument": instrument}
    if instrument is None:
        # No constraint knows that two matters are one: the person's row is the lock.
        Contact.objects.select_for_update().get(pk=contact.pk)
        about["matter__iexact"] = matter
    inquiry, new = Inquiry.objects.get_or_create(
        contact=contact, done_at=None, **about, defaults={"opened_at": at, "matter": matter}
    )
    if new:
        record(inquiry, "opened", by=by, at=at, new=contact.name)
    return inquiry


@transaction.atomic
def add_message(
    inquiry: Inquiry, text: str, *, ours: bool, channel: str, by: User | None, at: datetime, entry: str = ""
) -> Message:
    """Keep something said by form, telephone, letter or visit. `entry` names the press: twice is one row."""
    if before := _already(inquiry, entry):
        return before
    return _message(inquiry, text, ours=ours, channel=channel, by=by, at=at, entry=entry)


@transaction.atomic
def answer(inquiry: Inquiry, text: str, *, by: User | None, at: datetime, entry: str = "") -> Message:
    """Answer by mail: the answer is in the thread at once and goes out after the commit.

    `entry` names the press of the form: the same press again gives the answer that is there.
    """
    if before := _already(inquiry, entry):
        return before
    if not inquiry.contact.email:
        raise Refused(
            f"{inquiry.contact.name} has left no e-mail address. Note the telephone call or letter instead.",
            code="no-address",
        )
    record(inquiry, "answered", by=by, at=at)
    return _post(inquiry, text, automatic=False, by=by, at=at, entry=entry)


@transaction.atomic
def lay_aside(inquiry: Inquiry, *, by: User | None, at: datetime) -> None:
    """Nothing more is to be said; the thread leaves the list of open ones."""
    if Inquiry.objects.filter(pk=inquiry.pk, done_at__isnull=True).update(done_at=at):
        settle(inquiry)
        record(inquiry, "laid aside", by=by, at=at)


def _already(inquiry: Inquiry, entry: str) -> Message | None:
    """The message of an earlier press. The thread's row is the lock, so two presses at once queue up here."""
    if not entry:
        return None
    Inquiry.objects.select_for_update().get(pk=inquiry.pk)
    return Message.objects.filter(message_id=_message_id(entry)).first()


def _message_id(entry: str) -> str:
    return f"<{entry or uuid.uuid4().hex}@{_mail_domain()}>"


def _post(
    inquiry: Inquiry, text: str, *, automatic: bool, by: User | None, at: datetime, entry: str = ""
) -> Message:
    message = _message(
        inquiry,
        text,
        ours=True,
        channel=Message.Channel.MAIL,
        by=by,
        at=at,
        automatic=automatic,
        delivery=Delivery.WAITING,
        entry=entry,
    )
    send_message.enqueue(at=at, key=f"mail-{message.pk}", message=message.pk)
    return message


def _message(
    inquiry: Inquiry,
    text: str,
    *,
    ours: bool,
    channel: str,
    by: User | None,
    at: datetime,
    automatic: bool = False,
    delivery: str = Delivery.NONE,
    entry: str = "",
) -> Message:
    in_reply_to, references = _headers_after(inquiry)
    message = Message.objects.create(
        inquiry=inquiry,
        ours=ours,
        automatic=automatic,
        channel=channel,
        body=text,
        at=at,
        by=by,
        message_id=_message_id(entry),
        in_reply_to=in_reply_to,
        references=" ".join(references),
        delivery=delivery,
    )
    settle(inquiry)
    return message


def _headers_after(inquiry: Inquiry) -> tuple[str, tuple[str, ...]]:
    """Headers for the next message: it answers the last one that went, or came, by mail."""
    parent = inquiry.messages.filter(channel=Message.Channel.MAIL).order_by("-at", "-pk").first()
    if parent is None:
        return "", ()
    return reply_headers(Sent(parent.message_id, parent.in_reply_to, tuple(parent.references.split())))


def _mail_domain() -> str:
    return the_shop().email.partition("@")[2] or "localhost"


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
        _mail_of(Message.objects.select_related("inquiry__contact").get(pk=message)).send()
    except (SMTPException, OSError) as error:
        Message.objects.filter(pk=message).update(delivery=Delivery.WAITING, trouble=str(error)[:300])
        raise
    return lambda at: _sent(message, at=at)


def _sent(message: int, *, at: datetime) -> None:
    Message.objects.filter(pk=message, delivery=Delivery.SENDING).update(
        delivery=Delivery.SENT, sent_at=at, trouble=""
    )


def _mail_of(message: Message) -> EmailMessage:
    shop, inquiry = the_shop(), message.inquiry
    headers = {"Message-ID": message.message_id}
    if message.in_reply_to:
        headers |= {"In-Reply-To": message.in_reply_to, "References": message.references}
    if message.automatic:
        headers["Auto-Submitted"] = "auto-replied"
    subject = f"Re: {inquiry.subject}" if message.in_reply_to else inquiry.subject
    return EmailMessage(
        subject, message.body, f"{shop.name} <{shop.email}>", [inquiry.contact.email], headers=headers
    )
