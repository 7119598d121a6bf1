"""Put pieces on the shelf, and take them off it: in the transaction of every deed that changes what they show."""

import uuid
from collections.abc import Collection, Iterator
from datetime import UTC, datetime

from django.db import transaction

from catalog.instruments.models import Instrument
from catalog.public.queries import pages
from catalog.search.models import Edition, KnownWord, Said, Shelved
from catalog.search.page_words import page_words
from catalog.search.tables import PIECES, lots

THE_ONE = 1
AT_ONCE = 200
# What a page says of a piece does not depend on the hour; whether it is on hold does, and is not kept here.
WHENEVER = datetime(2000, 1, 1, tzinfo=UTC)


@transaction.atomic
def shelve(instruments: Collection[int]) -> None:
    """Bring these pieces' places on the shelf up to their records; a piece that is not listed has none.

    A shelf that has yet to be filled is left to `fill`.
    """
    concerned = [some for some in lots(instruments, AT_ONCE) if _concerned(some)]
    if not concerned or not _lock().mark:
        return
    for some in concerned:
        _shelve(some)
    _new_mark()


@transaction.atomic
def refill() -> int:
    """Make the whole shelf again from the records; how many pieces stand on it."""
    _lock()
    return _fill()


@transaction.atomic
def fill() -> None:
    """Fill the shelf, unless somebody has done so already."""
    if not _lock().mark:
        _fill()


def forget() -> None:
    """Have the shelf filled anew before it is next read; for records that were changed past the deeds."""
    Edition.objects.all().delete()


def _concerned(instruments: Collection[int]) -> bool:
    listed = Instrument.objects.filter(pk__in=instruments, state=Instrument.State.LISTED)
    return listed.exists() or Shelved.objects.filter(instrument__in=instruments).exists()


def _lock() -> Edition:
    """The edition's row, which is the lock for the whole shelf."""
    Edition.objects.bulk_create([Edition(pk=THE_ONE)], ignore_conflicts=True)
    return Edition.objects.select_for_update().get(pk=THE_ONE)


def _new_mark() -> None:
    Edition.objects.filter(pk=THE_ONE).update(mark=uuid.uuid4().hex)


def _fill() -> int:
    Shelved.objects.all().delete()
    KnownWord.objects.all().delete()
    listed = list(Instrument.objects.filter(state=Instrument.State.LISTED).values_list("pk", flat=True))
    for some in lots(listed, AT_ONCE):
        _shelve(some)
    _new_mark()
    return len(listed)


def _shelve(instruments: Collection[int]) -> None:
    before = set(Said.objects.filter(shelved__instrument__in=instruments).values_list("known", flat=True))
    Shelved.objects.filter(instrument__in=instruments).delete()
    said = {piece.stock_id: words for piece, words in _read(instruments)}
    keys = PIECES.keys_of({word for words in said.values() for word in words})
    Said.objects.bulk_create(
        (
            Said(shelved_id=stock, known_id=keys[word], in_name=in_name)
            for stock, words in said.items()
            for word, in_name in words.items()
        ),
        batch_size=2000,
    )
    PIECES.drop_unsaid(before - set(keys.values()))


def _read(instruments: Collection[int]) -> Iterator[tuple[Instrument, dict[str, bool]]]:
    listed = Instrument.objects.filter(pk__in=instruments, state=Instrument.State.LISTED)
    found = list(pages(listed, at=WHENEVER))
    Shelved.objects.bulk_create(
        Shelved(stock=piece.stock_id, instrument=piece, word=piece.word)  # type: ignore[attr-defined]
        for piece in found
    )
    yield from ((piece, page_words(piece)) for piece in found)
