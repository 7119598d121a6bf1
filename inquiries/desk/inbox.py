"""The inbox: threads by whose turn it is, each with its last word and its wait, in a fixed number of queries."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, F, Q, QuerySet
from django.db.models.functions import Substr

from inquiries.threads.models import Inquiry, Message
from inquiries.threads.turn_rules import Turn, whose_turn
from shop.hours.rules import OpenWeek, wait_in_words
from shop.keyset import Order, Stretch

ON_A_PAGE = 50
SNIPPET = 240
ALL = "all"

OPEN = Q(done_at__isnull=True)
WANTED: dict[str, Q] = {
    Turn.OURS: OPEN & Q(waiting_since__isnull=False),
    Turn.THEIRS: OPEN & Q(waiting_since__isnull=True),
    Turn.DONE: Q(done_at__isnull=False),
    ALL: Q(),
}
# Each is the order of an index, so that a page costs the same however long the list is.
ORDERS = {
    Turn.OURS: Order("waiting_since", latest_first=False),
    Turn.THEIRS: Order("last_at"),
    Turn.DONE: Order("done_at"),
    ALL: Order("opened_at"),
}
IN_WORDS = {
    Turn.OURS: "The longest wait first",
    Turn.THEIRS: "The latest word first",
    Turn.DONE: "The last laid aside first",
    ALL: "The latest opened first",
}


@dataclass(frozen=True)
class LastWord:
    """How the last word of a thread begins, and whose it is."""

    ours: bool
    automatic: bool
    channel: str
    begins: str


@dataclass(frozen=True)
class Line:
    """One thread in the list."""

    inquiry: Inquiry
    turn: Turn
    wait: str
    last: LastWord | None


def wanted(show: str) -> str:
    """The list that an address asks for; what it does not know is ours to answer."""
    return show if show in WANTED else Turn.OURS.value


def stretch_of(show: str, *, after: str, before: str) -> Stretch[Inquiry]:
    """One page of a list."""
    rows: QuerySet[Inquiry] = Inquiry.objects.filter(WANTED[show]).select_related(
        "contact", "instrument__kind", "instrument__maker", "instrument__model__maker"
    )
    return ORDERS[show].stretch(rows, most=ON_A_PAGE, after=after, before=before)


def lines(inquiries: list[Inquiry], week: OpenWeek, *, at: datetime) -> list[Line]:
    """The threads of a page as they are shown."""
    said = last_words(inquiries)
    return [
        Line(
            inquiry,
            whose_turn(done_at=inquiry.done_at, waiting_since=inquiry.waiting_since),
            wait_in_words(inquiry.waiting_since, at, week) if inquiry.waiting_since else "",
            said.get(inquiry.pk),
        )
        for inquiry in inquiries
    ]


def last_words(inquiries: list[Inquiry]) -> Mapping[int, LastWord]:
    """The last word of each thread. What went out by itself in the same instant stands back behind a person's."""
    rows = (
        Message.objects.filter(inquiry__in=[inquiry.pk for inquiry in inquiries], at=F("inquiry__last_at"))
        .annotate(begins=Substr("body", 1, SNIPPET))
        .order_by("-automatic", "pk")
    )
    return {
        row.inquiry_id: LastWord(
            row.ours, row.automatic, row.get_channel_display(), " ".join(row.begins.split())
        )
        for row in rows.only("inquiry_id", "ours", "automatic", "channel")
    }


def counts() -> dict[str, int]:
    """How many threads each list has."""
    return Inquiry.objects.aggregate(
        ours=Count("pk", filter=WANTED[Turn.OURS]),
        theirs=Count("pk", filter=WANTED[Turn.THEIRS]),
        done=Count("pk", filter=WANTED[Turn.DONE]),
        all=Count("pk"),
    )
