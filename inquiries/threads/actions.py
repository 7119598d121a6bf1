"""Take a question in, answer it, and give the answer to the mail."""

from collections.abc import Mapping
from datetime import datetime
from types import MappingProxyType

from django.db import transaction

from catalog.models import Instrument
from inquiries.mail.addresses import in_ascii
from inquiries.people.actions import contact_for
from inquiries.people.models import Contact
from inquiries.threads.letters import acknowledgement
from inquiries.threads.models import Inquiry, Message
from inquiries.threads.rules import Sent, reply_headers, takes_automatic_mail
from inquiries.threads.sending import new_message_id, queue
from inquiries.threads.stops import let_through
from inquiries.threads.turn_actions import open_for_their_word
from inquiries.threads.turns import settle
from shop.history.actions import record
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

Delivery = Message.Delivery
NO_HEADERS: Mapping[str, str] = MappingProxyType({})


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
    acknowledge(inquiry, at=at)
    return inquiry


@transaction.atomic
def acknowledge(inquiry: Inquiry, *, at: datetime) -> Message | None:
    """Say by mail that a question has arrived; to an address that no person reads nothing goes by itself."""
    shop = the_shop()
    if not takes_automatic_mail(inquiry.contact.email, own=shop.email):
        return None
    return post(inquiry, acknowledgement(inquiry, shop), automatic=True, by=None, at=at)


@transaction.atomic
def open_inquiry(
    contact: Contact, instrument: Instrument | None, *, by: User | None, at: datetime, matter: str = ""
) -> Inquiry:
    """The open thread of a person on an instrument, or on another matter; opened when there is none."""
    about: dict[str, object] = {"instrument": instrument}
    if instrument is None:
        # No constraint knows that two matters are one: the person's row is the lock.
        Contact.objects.select_for_update(no_key=True).get(pk=contact.pk)
        about["matter__iexact"] = matter
    inquiry, new = Inquiry.objects.get_or_create(
        contact=contact, done_at=None, **about, defaults={"opened_at": at, "last_at": at, "matter": matter}
    )
    if new:
        record(inquiry, "opened", by=by, at=at, new=contact.name)
    return inquiry


@transaction.atomic
def add_message(
    inquiry: Inquiry, text: str, *, ours: bool, channel: str, by: User | None, at: datetime, entry: str = ""
) -> Message:
    """Keep something said by form, telephone, letter or visit. `entry` names the press: twice is one row.

    A word of theirs opens a thread that was laid aside, or goes to the open one they have on the same piece.
    """
    if before := _already(inquiry, entry):
        return before
    if not ours:
        inquiry = open_for_their_word(inquiry, by=by, at=at)
    return _message(inquiry, text, ours=ours, channel=channel, by=by, at=at, entry=entry)


@transaction.atomic
def answer(
    inquiry: Inquiry,
    text: str,
    *,
    by: User | None,
    at: datetime,
    entry: str = "",
    as_it_stands: bool = False,
) -> Message:
    """Answer by mail: the answer is in the thread at once and goes out after the commit.

    `entry` names the press of the form: the same press again gives the answer that is there. Raises Stopped as
    `post` does.
    """
    if before := _already(inquiry, entry):
        return before
    message = post(inquiry, text, by=by, at=at, entry=entry, as_it_stands=as_it_stands)
    record(inquiry, "answered", by=by, at=at)
    return message


@transaction.atomic
def lay_aside(inquiry: Inquiry, *, by: User | None, at: datetime) -> None:
    """Nothing more is to be said; the thread leaves the list of open ones."""
    if Inquiry.objects.filter(pk=inquiry.pk, done_at__isnull=True).update(done_at=at):
        settle(inquiry)
        record(inquiry, "laid aside", by=by, at=at)


@transaction.atomic
def post(
    inquiry: Inquiry,
    text: str,
    *,
    by: User | None,
    at: datetime,
    entry: str = "",
    automatic: bool = False,
    headers: Mapping[str, str] = NO_HEADERS,
    as_it_stands: bool = False,
) -> Message:
    """A mail of ours, composed as it will go and handed to the worker.

    `entry` names the press of the form: the same press again gives the message that is there. `automatic` is said in
    its headings and counts as no answer. `headers` are further headings, such as List-Unsubscribe. What was written
    by hand is read first, and Stopped is raised with the places that stand in the way (threads/stops.py);
    `as_it_stands` is the second press, which some of them give way to, and it is kept.
    """
    if before := _already(inquiry, entry):
        return before
    _has_address(inquiry.contact)
    for stop in () if automatic else let_through(text, inquiry, as_it_stands=as_it_stands):
        given_way = f"“{text[stop.start : stop.end]}”: {stop.why}"
        record(inquiry, "sent as it stands", by=by, at=at, new=given_way)
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
    queue(message, headers, at=at)
    return message


def _has_address(contact: Contact) -> None:
    if not contact.email:
        raise Refused(
            f"{contact.name} has left no e-mail address. Note the telephone call or letter instead.",
            code="no-address",
        )
    try:
        in_ascii(contact.email)
    except ValueError:
        raise Refused(
            f"The address {contact.email} has letters before the @ that not every mail server takes. "
            "Ask for another address, or answer by telephone or letter.",
            code="address-not-ascii",
        ) from None


def _already(inquiry: Inquiry, entry: str) -> Message | None:
    """The message of an earlier press. The thread's row is the lock, so two presses at once queue up here."""
    if not entry:
        return None
    Inquiry.objects.select_for_update(no_key=True).get(pk=inquiry.pk)
    return Message.objects.filter(message_id=new_message_id(entry)).first()


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
        message_id=new_message_id(entry),
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
