"""Find threads by the words that they say. The same threads in the same order on every database."""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from django.db.models import Case, F, OuterRef, Q, QuerySet, Subquery, Value, When
from django.db.models.functions import Substr

from catalog.search.queries import Found, search
from inquiries.search.indexing import index_all
from inquiries.search.models import LETTERS
from inquiries.search.snippets import Piece, snippet
from inquiries.search.words import LONGEST_READ
from inquiries.threads.models import Inquiry, Message
from inquiries.threads.turn_rules import Turn
from shop.jobs.models import Job

BEST, NEWEST = "best", "newest"
ORDERS = {BEST: "Best first", NEWEST: "Latest word first"}
ALL = "all"
FEW = 900  # keys that one statement is given
WORDS_SHOWN = 30


@dataclass(frozen=True)
class Finds:
    """What was found: the threads of the list that was asked for, in order; how many each list has; the words."""

    keys: list[int]
    counts: dict[str, int]
    found: Found


def find(text: str, *, show: str = ALL, order: str = BEST) -> Finds:
    """Threads that answer to a text. Best first: of equals, and in the other order, the latest word first."""
    found = search(text, LETTERS)
    rows = _by_latest_word(found.points)
    counted = Counter(turn for _, turn in rows)
    if order == BEST:
        rows.sort(key=lambda row: -found.points[row[0]])
    keys = [key for key, turn in rows if show in {ALL, turn}]
    return Finds(keys, {**{turn.value: counted[turn.value] for turn in Turn}, ALL: len(rows)}, found)


def _by_latest_word(points: Mapping[int, int]) -> list[tuple[int, str]]:
    """The threads that were found, the latest word first, each with whose turn it is."""
    threads: QuerySet[Inquiry] = Inquiry.objects.all()
    if len(points) <= FEW:
        threads = threads.filter(pk__in=points)
    turn = Case(
        When(done_at__isnull=False, then=Value(Turn.DONE.value)),
        When(waiting_since__isnull=False, then=Value(Turn.OURS.value)),
        default=Value(Turn.THEIRS.value),
    )
    latest = threads.order_by(F("last_at").desc(nulls_last=True), "-pk")
    return [row for row in latest.values_list("pk", turn) if row[0] in points]


def in_this_order(keys: Collection[int]) -> list[Inquiry]:
    """The threads, with all that a list shows of them."""
    rows = Inquiry.objects.select_related(
        "contact", "instrument__kind", "instrument__maker", "instrument__model__maker"
    ).in_bulk(list(keys))
    return [rows[key] for key in keys if key in rows]


def snippets(keys: Collection[int], words: Collection[str]) -> dict[int, list[Piece]]:
    """Of each thread: the place in its latest letter that says one of the words. Two queries."""
    says = Q(pk__in=[])
    for word in sorted(words, key=len, reverse=True)[:WORDS_SHOWN]:
        says |= Q(body__icontains=word)
    letters = Message.objects.filter(says, inquiry=OuterRef("pk")).order_by("-at", "-pk")
    threads = Inquiry.objects.filter(pk__in=keys).annotate(letter=Subquery(letters.values("pk")[:1]))
    chosen = [letter for letter in threads.values_list("letter", flat=True) if letter]
    said = Message.objects.filter(pk__in=chosen).values_list("inquiry", Substr("body", 1, LONGEST_READ))
    return {inquiry: snippet(body, words) for inquiry, body in said}


def still_reading() -> bool:
    """Whether the worker has yet to read the letters of before, so that something may be missing."""
    waiting = Job.objects.filter(task=index_all.name, state__in=[Job.State.WAITING, Job.State.RUNNING])
    return waiting.exists()
