"""Which inquiries, and which of them wait for an answer of ours."""

from datetime import datetime, timedelta

from django.db.models import F, Q, QuerySet

from inquiries.threads.models import Inquiry, Message


def in_order_of_waiting(inquiries: QuerySet[Inquiry]) -> QuerySet[Inquiry]:
    """Those that wait for us first, the longest wait first; then the latest word first."""
    return inquiries.select_related(
        "contact", "instrument__kind", "instrument__maker", "instrument__model__maker"
    ).order_by(F("waiting_since").asc(nulls_last=True), F("last_at").desc(nulls_last=True), "-pk")


def waiting_for_us() -> QuerySet[Inquiry]:
    """Open inquiries with a question unanswered, the longest wait first."""
    return in_order_of_waiting(Inquiry.objects.filter(waiting_since__isnull=False))


# Mail of ours is taken out within seconds; one that nobody has touched for so long has no worker.
UNTOUCHED = timedelta(minutes=15)


def held_up(*, at: datetime) -> QuerySet[Message]:
    """Messages of ours whose mail has not gone, or may not have (`Message.held_up`), or that nobody has taken out."""
    state = Message.Delivery
    troubled = Q(delivery=state.WAITING) & (~Q(trouble="") | Q(tries=0, at__lte=at - UNTOUCHED))
    return Message.objects.filter(Q(delivery__in=[state.STUCK, state.UNSURE]) | troubled)
