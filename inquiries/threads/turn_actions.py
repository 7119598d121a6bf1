"""Deeds on a thread's turn: a word needs no answer, a thread is taken up again, a day is set to look at it again."""

from datetime import date, datetime

from django.db import IntegrityError, transaction

from inquiries.threads.models import Inquiry, Message
from inquiries.threads.turns import settle, waiting_words
from shop.history.actions import record
from shop.refusal import Refused
from shop.staff.models import User


@transaction.atomic
def needs_no_answer(message: Message, *, by: User | None, at: datetime) -> int:
    """A word of theirs that waits needs no answer, nor do those before it that wait; how many words that settles."""
    inquiry = _locked(message.inquiry_id)
    waiting = waiting_words().filter(inquiry=inquiry)
    settled = [word.pk for word in waiting if _not_after(word, message)]
    many = Message.objects.filter(pk__in=settled).update(needs_no_answer=True)
    if many:
        record(inquiry, "needs no answer", by=by, at=at, new=message.body)
        settle(inquiry)
    return many


@transaction.atomic
def needs_an_answer(message: Message, *, by: User | None, at: datetime) -> None:
    """That word of theirs wants an answer after all."""
    inquiry = _locked(message.inquiry_id)
    if Message.objects.filter(pk=message.pk, needs_no_answer=True).update(needs_no_answer=False):
        record(inquiry, "needs an answer after all", by=by, at=at, new=message.body)
        settle(inquiry)


@transaction.atomic
def take_up(inquiry: Inquiry, *, by: User | None, at: datetime) -> None:
    """A thread that was laid aside is open again; Refused when the person has another open one on the same piece."""
    if not _opened_again(inquiry, by=by, at=at):
        raise Refused(
            f"{inquiry.contact} has another open inquiry about {inquiry.about}. Go on in that one.",
            code="another-is-open",
        )


@transaction.atomic
def open_for_their_word(inquiry: Inquiry, *, by: User | None, at: datetime) -> Inquiry:
    """The thread in which a new word of theirs belongs, so that it waits for us and is not lost.

    That is this one; if it was laid aside, the open one they have on the same piece, or else this one, taken up again.
    """
    if _opened_again(inquiry, by=by, at=at):
        return inquiry
    like = Inquiry.objects.filter(contact=inquiry.contact_id, instrument=inquiry.instrument_id)
    return like.get(done_at__isnull=True)


def _opened_again(inquiry: Inquiry, *, by: User | None, at: datetime) -> bool:
    """Have it open; False where another open one of the same person and piece stands in the way."""
    if _locked(inquiry.pk).done_at is None:
        return True
    try:
        with transaction.atomic():
            Inquiry.objects.filter(pk=inquiry.pk).update(done_at=None)
    except IntegrityError:
        return False
    inquiry.done_at = None
    record(inquiry, "taken up again", by=by, at=at)
    settle(inquiry)
    return True


@transaction.atomic
def follow_up(inquiry: Inquiry, on: date, note: str, *, today: date, by: User | None, at: datetime) -> None:
    """Look at it again on that day, with the reason; a day gone by (`today` is the shop's) is refused."""
    if on < today:
        raise Refused("This day has gone by. Write today or a day to come.", code="day-gone-by")
    _set_follow_up(inquiry, on, note, by=by, at=at)


@transaction.atomic
def no_follow_up(inquiry: Inquiry, *, by: User | None, at: datetime) -> None:
    """It has been looked at, or need not be."""
    _set_follow_up(inquiry, None, "", by=by, at=at)


def _set_follow_up(inquiry: Inquiry, on: date | None, note: str, *, by: User | None, at: datetime) -> None:
    before = _locked(inquiry.pk)
    inquiry.follow_up_on, inquiry.follow_up_note = on, note
    old, new = _spoken(before), _spoken(inquiry)
    if old != new:
        inquiry.save(update_fields=["follow_up_on", "follow_up_note"])
        record(inquiry, "changed", by=by, at=at, field="follow-up", old=old, new=new)


def _locked(inquiry: int) -> Inquiry:
    return Inquiry.objects.select_for_update(no_key=True).get(pk=inquiry)


def _not_after(word: Message, last: Message) -> bool:
    return (word.at, word.pk) <= (last.at, last.pk)


def _spoken(inquiry: Inquiry) -> str:
    if inquiry.follow_up_on is None:
        return ""
    day = f"{inquiry.follow_up_on:%-d %B %Y}"
    return f"{day}: {inquiry.follow_up_note}" if inquiry.follow_up_note else day
