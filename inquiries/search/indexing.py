"""Keep the words of the threads at what the threads say: in the transaction of every deed that changes it."""

from collections.abc import Collection, Iterable
from contextlib import suppress
from datetime import datetime, timedelta
from typing import Any

from django.db import connection, transaction
from django.db.models.signals import post_save

from catalog.instruments.changing import SHARED
from catalog.search.rules import words_of
from catalog.search.tables import lots
from inquiries.search.models import LETTERS, WordOfThread
from inquiries.search.words import names_of_threads, words_of_threads
from inquiries.threads.models import Inquiry
from shop.history.models import Entry
from shop.jobs.actions import Finish, task
from shop.jobs.rounds import every
from shop.wording import in_own

AT_ONCE = 50
DROPPING = timedelta(hours=1)
# Whoever writes words shares this lock; who drops words that nothing says any longer has it alone.
LOCK = 7_021_865_521


class Busy(Exception):
    """Somebody is writing words at this moment."""


@transaction.atomic
def index(inquiries: Iterable[int]) -> None:
    """Bring the words of these threads up to what they say; call it in the deed, after its last change."""
    for some in lots(sorted(set(inquiries)), AT_ONCE):
        _share()
        _index(some)


def index_people(*people: int) -> None:
    """These people are called something else now, or have other threads."""
    index(Inquiry.objects.filter(contact__in=people).order_by().values_list("pk", flat=True))


def index_pieces(instruments: Collection[int]) -> None:
    """These pieces may be called something else now: the threads about them, if their names do not say so yet."""
    for some in lots(instruments, 500):
        threads = list(Inquiry.objects.filter(instrument__in=some).order_by().values_list("pk", flat=True))
        index(_named_otherwise(threads))


def follow_the_history() -> None:
    """Look at the pieces of a maker, a model or a kind whenever its history gets a row (called once, at start)."""
    post_save.connect(_of_shared, sender=Entry, dispatch_uid="words of threads")


@task
def index_all() -> Finish | None:
    """Bring the words of all threads up to what they say, some at a time; begun again, it does no harm."""
    read_all()
    return None


def read_all() -> int:
    """Bring the words of all threads up to what they say; how many threads there are."""
    keys = list(Inquiry.objects.order_by("-pk").values_list("pk", flat=True))
    for some in lots(keys, AT_ONCE):
        index(some)
    with suppress(Busy):
        drop_unsaid()
    return len(keys)


@task
def drop_words() -> Finish | None:
    """Forget words that no thread says any longer, as soon as nobody is writing any."""
    drop_unsaid()
    return None


def forget(*, at: datetime) -> None:
    """Words were erased: those that no thread says any longer are known no longer. The last act of the deed.

    While another deed is writing words it is left to the worker, who does it once this is committed.
    """
    try:
        drop_unsaid()
    except Busy:
        drop_words.enqueue(at=at)


@every(DROPPING)
def tidy(at: datetime) -> None:
    """Drop words that no thread says any longer; if somebody is writing, at the next round."""
    with suppress(Busy):
        drop_unsaid()


@transaction.atomic
def drop_unsaid() -> int:
    """Drop words that no thread says any longer; how many. Raises Busy while a deed is writing words."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_try_advisory_xact_lock(%s)", [LOCK])
            if not cursor.fetchone()[0]:
                raise Busy("Words are just being written.")
    return LETTERS.drop_every_unsaid()


def _share() -> None:
    """On PostgreSQL: nobody drops a word from now on until this is committed. SQLite has one writer at a time."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock_shared(%s)", [LOCK])


def _index(inquiries: list[int]) -> None:
    # The order matters where two deeds write to one thread: what stood before was said by letters read after.
    rows = WordOfThread.objects.filter(inquiry__in=inquiries)
    before = {
        (inquiry, word, in_name): key
        for key, inquiry, word, in_name in rows.values_list("pk", "inquiry", "known__word", "in_name")
    }
    said = {
        (inquiry, word, in_name)
        for inquiry, words in words_of_threads(inquiries).items()
        for word, in_name in words.items()
    }
    for some in lots((key for row, key in before.items() if row not in said), 500):
        WordOfThread.objects.filter(pk__in=some).delete()
    new = sorted(said - before.keys())
    keys = LETTERS.keys_of({word for _, word, _ in new})
    WordOfThread.objects.bulk_create(
        (
            WordOfThread(inquiry_id=inquiry, known_id=keys[word], in_name=named)
            for inquiry, word, named in new
        ),
        batch_size=2000,
        ignore_conflicts=True,
    )


def _named_otherwise(threads: list[int]) -> list[int]:
    if not threads:
        return []
    with in_own():
        names = names_of_threads(threads)
    said: dict[int, set[str]] = {thread: set() for thread in threads}
    rows = WordOfThread.objects.filter(inquiry__in=threads, in_name=True)
    for thread, word in rows.values_list("inquiry", "known__word"):
        said[thread].add(word)
    return [
        thread
        for thread, texts in names.items()
        if {word for text in texts for word in words_of(text)} != said[thread]
    ]


def _of_shared(instance: Entry, **kwargs: Any) -> None:
    if instance.about in SHARED:
        asked = Inquiry.objects.filter(**{f"instrument__{instance.about}": instance.about_id})
        index_pieces(set(asked.order_by().values_list("instrument", flat=True)))
