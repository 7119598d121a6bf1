"""Whose turn it is in a thread: the copies that lists read, made from the messages in the deed that adds one.

The words by which the thread is found are brought up to them in the same deed (inquiries/search/indexing.py).
"""

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from inquiries.search.indexing import index
from inquiries.threads.models import Inquiry, Message


def answered_later() -> Exists:
    """For a message: whether one of us has answered in its thread since. What goes out by itself does not count."""
    later = Q(at__gt=OuterRef("at")) | Q(at=OuterRef("at"), pk__gt=OuterRef("pk"))
    return Exists(Message.objects.filter(later, inquiry=OuterRef("inquiry"), ours=True, automatic=False))


def waiting_words() -> QuerySet[Message]:
    """Words of theirs that want an answer and have none, the first one first. Automatic ones want none."""
    theirs = Message.objects.filter(ours=False, automatic=False, needs_no_answer=False)
    return theirs.filter(~answered_later()).order_by("at", "pk")


def with_turns(inquiries: QuerySet[Inquiry]) -> QuerySet[Inquiry]:
    """Give each `true_last_at` and `true_waiting_since`: what its copies must be, from its messages."""
    last = Message.objects.filter(inquiry=OuterRef("pk")).order_by("-at", "-pk")
    waiting = waiting_words().filter(inquiry=OuterRef("pk"))
    return inquiries.annotate(
        true_last_at=Coalesce(Subquery(last.values("at")[:1]), "opened_at"),
        true_waiting_since=Subquery(waiting.values("at")[:1]),
    )


def settle(inquiry: Inquiry) -> None:
    """Set the copies of one thread, and its words, from its messages; called within the deed, which holds its row."""
    true = with_turns(Inquiry.objects.filter(pk=inquiry.pk)).get()
    inquiry.last_at = true.true_last_at  # type: ignore[attr-defined]
    inquiry.waiting_since = None if true.done_at else true.true_waiting_since  # type: ignore[attr-defined]
    Inquiry.objects.filter(pk=inquiry.pk).update(last_at=inquiry.last_at, waiting_since=inquiry.waiting_since)
    index([inquiry.pk])
