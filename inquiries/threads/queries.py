"""Which inquiries, and which of them wait for an answer of ours."""

from django.db.models import Case, DateTimeField, Exists, F, Max, OuterRef, Q, QuerySet, Subquery, When
from django.db.models.functions import Coalesce

from inquiries.threads.models import Inquiry, Message


def answered_later() -> Exists:
    """For a message: whether one of us has answered in its thread since. What goes out by itself does not count."""
    later = Q(at__gt=OuterRef("at")) | Q(at=OuterRef("at"), pk__gt=OuterRef("pk"))
    return Exists(Message.objects.filter(later, inquiry=OuterRef("inquiry"), ours=True, automatic=False))


def with_waiting(inquiries: QuerySet[Inquiry]) -> QuerySet[Inquiry]:
    """Give each what the lists read.

    `said_at`: the last thing said, NULL for nothing; `last_at`: the same, or the opening; `waiting_since`: the
    first question still unanswered, NULL for none or when laid aside.
    """
    unanswered = (
        Message.objects.filter(~answered_later(), inquiry=OuterRef("pk"), ours=False)
        .order_by("at", "pk")
        .values("at")[:1]
    )
    return inquiries.annotate(
        waiting_since=Case(
            When(done_at__isnull=True, then=Subquery(unanswered)), output_field=DateTimeField(null=True)
        ),
        said_at=Max("messages__at"),
        last_at=Coalesce(Max("messages__at"), F("opened_at")),
    )


def in_order_of_waiting(inquiries: QuerySet[Inquiry]) -> QuerySet[Inquiry]:
    """Those that wait for us first, the longest wait first; then the latest word first."""
    return (
        with_waiting(inquiries)
        .select_related("contact", "instrument__kind", "instrument__maker", "instrument__model__maker")
        .order_by(F("waiting_since").asc(nulls_last=True), F("last_at").desc(), "-pk")
    )


def waiting_for_us() -> QuerySet[Inquiry]:
    """Open inquiries with a question unanswered, the longest wait first."""
    return in_order_of_waiting(Inquiry.objects.all()).filter(Q(waiting_since__isnull=False))
