"""Many letters at one moment, in one process: `python -m tests.support.writers prepare|rush|tell`.

Each writer says something in one of a few threads, with words of its own and words that all say for the first time,
while somebody drops words that no thread says.
"""

import json
import sys
import threading
from collections.abc import Callable

import django

django.setup()

from django.db import connection  # noqa: E402 - the settings come first
from django.utils import timezone  # noqa: E402

from inquiries.models import Inquiry, Message, WordOfThread, WrittenWord  # noqa: E402
from inquiries.search.indexing import Busy, drop_unsaid  # noqa: E402
from inquiries.search.queries import find  # noqa: E402
from inquiries.threads.actions import add_message  # noqa: E402
from tests.factories import ContactFactory, InquiryFactory, InstrumentFactory, ShopFactory  # noqa: E402

WRITERS, THREADS = 18, 3
OWN = [f"alone{letter * 3}" for letter in "abcdefghijklmnopqr"]
TOGETHER = "zither yonder xylophone walnut"


def prepare() -> None:
    """A few threads, and a word that none of them says."""
    ShopFactory()
    instrument = InstrumentFactory(listed=True)
    for number in range(THREADS):
        InquiryFactory(contact=ContactFactory(name=f"Writer {number}"), instrument=instrument)
    WrittenWord.objects.create(word="unsaid")


def rush() -> None:
    """All write at one moment; the errors that came up."""
    inquiries, errors = list(Inquiry.objects.order_by("pk")), []
    barrier = threading.Barrier(WRITERS + 1)

    def write(number: int) -> None:
        said = f"{OWN[number]} {' '.join(sorted(TOGETHER.split(), reverse=bool(number % 2)))}"
        inquiry = inquiries[number % THREADS]
        add_message(inquiry, said, ours=False, channel="telephone", by=None, at=timezone.now())

    def drop() -> None:
        for _ in range(40):
            try:
                drop_unsaid()
            except Busy:
                continue

    def run(work: Callable[[], None]) -> None:
        barrier.wait()
        try:
            work()
        except Exception as error:  # each is told, and the test wants none
            errors.append(f"{type(error).__name__}: {error}")
        connection.close()

    works = [drop, *(lambda number=number: write(number) for number in range(WRITERS))]  # type: ignore[misc]
    threads = [threading.Thread(target=run, args=(work,)) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(json.dumps(errors))


def tell() -> None:
    """What is found once all have written."""
    drop_unsaid()
    inquiries = list(Inquiry.objects.order_by("pk").values_list("pk", flat=True))
    found = {
        "messages": Message.objects.count(),
        "own": [find(word).keys == [inquiries[number % THREADS]] for number, word in enumerate(OWN)],
        "together": sorted(find(TOGETHER).keys) == inquiries,
        "unsaid": WrittenWord.objects.filter(word="unsaid").count(),
        "without a word": WordOfThread.objects.filter(known__isnull=True).count(),
    }
    print(json.dumps(found))


if __name__ == "__main__":
    {"prepare": prepare, "rush": rush, "tell": tell}[sys.argv[1]]()
