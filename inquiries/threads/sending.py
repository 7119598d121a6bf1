"""A message of ours goes to the mail server: composed once, when it is queued, and those bytes are what is sent."""

import uuid
from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from inquiries.mail.addresses import in_ascii, reply_address
from inquiries.mail.composing import Letter, composed, envelope, readdressed
from inquiries.mail.handing_over import NOBODY_KNOWS, End, Outcome, hand_over
from inquiries.mail.models import ReceivedMail
from inquiries.threads.models import Message
from inquiries.threads.rules import answered_subject, pause_after
from shop.history.actions import record
from shop.jobs.actions import TASKS, Finish, task
from shop.jobs.models import Job
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

Delivery = Message.Delivery
BROKEN_OFF = Outcome(End.UNSURE, f"The work was interrupted while it was being sent. {NOBODY_KNOWS}")


def new_message_id(entry: str = "") -> str:
    """A Message-ID of ours; the same for the same press."""
    domain = in_ascii(the_shop().email).rpartition("@")[2]
    return f"<{entry or uuid.uuid4().hex}@{domain or 'localhost'}>"


def queue(message: Message, headers: Mapping[str, str], *, at: datetime) -> None:
    """Compose the mail of a message that was just kept, and hand it to the worker."""
    message.wire = _composed(message, headers)
    message.save(update_fields=["wire"])
    _enqueue(message, at=at)


@transaction.atomic
def send_again(message: Message, *, by: User | None, at: datetime) -> None:
    """Try a message that has not gone, or may have gone, once more, as the same mail with the same Message-ID.

    What has certainly not gone goes to the address that the person has by now. Pressed twice, it is one try.
    """
    kept = (
        Message.objects.select_for_update(of=("self",)).select_related("inquiry__contact").get(pk=message.pk)
    )
    if kept.delivery == Delivery.SENDING or (kept.delivery == Delivery.WAITING and not kept.trouble):
        return
    if kept.delivery not in {Delivery.WAITING, Delivery.STUCK, Delivery.UNSURE, Delivery.LEFT}:
        raise Refused("This message has gone meanwhile. Nothing was sent again.", code="gone")
    kept.wire = _readdressed(kept)
    record(kept.inquiry, "message tried again", by=by, at=at, old=kept.trouble)
    kept.delivery, kept.trouble, kept.tries, kept.next_try_at = Delivery.WAITING, "", 0, None
    kept.save(update_fields=["wire", "delivery", "trouble", "tries", "next_try_at"])
    _enqueue(kept, at=at)


@transaction.atomic
def leave(message: Message, *, by: User | None, at: datetime) -> None:
    """Nothing more is done about a message that has not gone, or may have gone; why stays with it."""
    kept = Message.objects.select_for_update(of=("self",)).select_related("inquiry").get(pk=message.pk)
    if kept.delivery == Delivery.LEFT:
        return
    troubled = kept.delivery == Delivery.WAITING and kept.trouble
    if not troubled and kept.delivery not in {Delivery.STUCK, Delivery.UNSURE}:
        raise Refused("This message has gone meanwhile, or is just going. Nothing was changed.", code="gone")
    kept.delivery, kept.next_try_at = Delivery.LEFT, None
    kept.save(update_fields=["delivery", "next_try_at"])
    record(kept.inquiry, "message left as it is", by=by, at=at, old=kept.trouble)


@task
def send_message(message: int) -> Finish | None:
    """Hand one message to the mail server.

    It is marked right before the server is given the text: a worker killed from then on leaves it marked, and
    nobody knows whether it went, so it is shown as that instead of being sent twice. A worker killed before that
    leaves it waiting, and the next one begins anew.
    """
    kept = Message.objects.select_related("inquiry__contact", "inquiry__instrument").get(pk=message)
    if kept.delivery == Delivery.SENDING:
        return lambda at: _ended(kept, BROKEN_OFF, at=at)
    if kept.delivery != Delivery.WAITING:
        return None
    wire = kept.wire or _composed(kept, {})  # an earlier release composed it only when it went
    sender, recipient = envelope(wire)

    def mark() -> bool:
        waiting = Message.objects.filter(pk=message, delivery=Delivery.WAITING)
        return bool(waiting.update(delivery=Delivery.SENDING, wire=wire))

    outcome = hand_over(wire.encode("ascii"), sender=sender, recipients=[recipient], mark=mark)
    return lambda at: _ended(kept, outcome, at=at)


TASKS["inquiries.threads.actions.send_message"] = send_message  # as jobs of an earlier release name it


def _ended(message: Message, outcome: Outcome, *, at: datetime) -> None:
    """Write down what became of it, in the transaction that ends the job; a further try is a job of its own."""
    if outcome.end == End.NOT_OURS:
        return
    tries, words, next_try_at = message.tries + 1, outcome.words, None
    state = {End.WENT: Delivery.SENT, End.REFUSED: Delivery.STUCK, End.UNSURE: Delivery.UNSURE}.get(
        outcome.end
    )
    if state is None and (pause := pause_after(tries)):
        state, next_try_at = Delivery.WAITING, at + pause
    elif state is None:
        state, words = Delivery.STUCK, f"Given up after {tries} tries. {words}"
    in_hand = Message.objects.filter(pk=message.pk, delivery__in=[Delivery.WAITING, Delivery.SENDING])
    written = in_hand.update(
        delivery=state,
        trouble=words[:300],
        tries=tries,
        next_try_at=next_try_at,
        sent_at=at if state == Delivery.SENT else None,
    )
    if written and next_try_at:
        _enqueue(message, at=next_try_at)


def _enqueue(message: Message, *, at: datetime) -> None:
    """One job for each message; one that waits for later is brought forward."""
    job = send_message.enqueue(at=at, key=f"mail-{message.pk}", message=message.pk)
    Job.objects.filter(pk=job.pk, state=Job.State.WAITING, due__gt=at).update(due=at)


def _composed(message: Message, headers: Mapping[str, str]) -> str:
    shop, inquiry = the_shop(), message.inquiry
    return composed(
        Letter(
            message_id=message.message_id,
            at=message.at.astimezone(shop.zone),
            from_name=shop.name,
            from_email=shop.email,
            to=inquiry.contact.email,
            reply_to=reply_address(inquiry.pk, shop.email),
            subject=_subject(message),
            text=message.body,
            in_reply_to=message.in_reply_to,
            references=message.references.split(),
            automatic=message.automatic,
            headers=headers,
        )
    )


def _subject(message: Message) -> str:
    """Their own subject, where they have written by mail; mail programs keep a conversation together by it."""
    if not message.in_reply_to:
        return message.inquiry.subject
    theirs = (
        ReceivedMail.objects.filter(message__inquiry=message.inquiry_id).order_by("received_at", "pk").last()
    )
    return answered_subject(theirs.subject if theirs and theirs.subject else message.inquiry.subject)


def _readdressed(message: Message) -> str:
    to = message.inquiry.contact.email
    if not message.wire or not to or message.delivery == Delivery.UNSURE:
        return message.wire
    return readdressed(message.wire, to)
