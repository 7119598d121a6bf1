"""Searching 100,000 messages in 20,000 threads against 1,000 in 200, with the number of queries of each page.

.venv/bin/python -m tests.benchmarks.letters
.venv/bin/python -m tests.support.postgres -- .venv/bin/python -m tests.benchmarks.letters

Letters of 25 words, drawn by Zipf's law from 6,000 invented words, so that a few stand in nearly every thread and most
in few. Their words are written in bulk as the shop would have written them. The inbox is measured beside it, over the
same letters.
"""

import random
import time
from itertools import accumulate

from tests.benchmarks.inbox import FEW, MANY, fill_up_to, median_ms  # isort: skip - it prepares the environment

from django.core.management import call_command
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from catalog.search.tables import lots
from inquiries.models import Inquiry, Message, WordOfThread, WrittenWord
from inquiries.search.indexing import index
from inquiries.search.models import LETTERS as WORDS
from inquiries.search.queries import find
from inquiries.search.words import words_of_threads
from shop.models import OpenHours
from tests.factories import OwnerFactory, ShopFactory

VOCABULARY, IN_A_LETTER, AT_ONCE = 6_000, 25, 500
LETTERS = "abcdefghijklmnoprstuvw"
RARE = "zitherette"
SEARCHES = {
    "a rare word": RARE,
    "a rare word, mistyped": "zihterette",
    "a word of every tenth thread": "",
    "the commonest word": "",
    "the three commonest words": "",
    "a person": "buyer 77",
    "the three commonest, latest first": "",
    "no such word": "qqqqwertz",
}


class Writer:
    """Letters in any number, always the same ones."""

    def __init__(self) -> None:
        self.chance = random.Random(1931)
        drawn = (
            "".join(self.chance.choices(LETTERS, k=self.chance.randint(4, 9))) for _ in range(VOCABULARY)
        )
        self.words = list(dict.fromkeys(drawn))
        self.weights = list(accumulate(1 / place for place in range(1, len(self.words) + 1)))
        self.written = 0

    def letter(self, number: int) -> str:
        """One letter; one in five hundred says the rare word."""
        self.written += 1
        words = self.chance.choices(self.words, cum_weights=self.weights, k=IN_A_LETTER)
        return " ".join([*words, RARE] if self.written % 500 == 0 else words)


def searches(writer: Writer) -> dict[str, str]:
    """The addresses, with words chosen by how many threads say them."""
    common = writer.words[:3]
    tenth = min(
        writer.words[:400],
        key=lambda word: abs(
            WordOfThread.objects.filter(known__word=word).count() * 10 - Inquiry.objects.count()
        ),
    )
    asked = SEARCHES | {
        "a word of every tenth thread": tenth,
        "the commonest word": common[0],
        "the three commonest words": "+".join(common),
        "the three commonest, latest first": "+".join(common) + "&sort=newest",
    }
    return {name: f"/desk/inquiries/search/?q={text.replace(' ', '+')}" for name, text in asked.items()} | {
        f"the inbox, {show}": f"/desk/inquiries/?show={show}" for show in ("ours", "theirs", "done", "all")
    }


def queries(client: Client, path: str) -> int:
    """How many queries a page asks."""
    with CaptureQueriesContext(connection) as captured:
        client.get(path)
    return len(captured)


def fill(messages: int, writer: Writer) -> None:
    """Letters up to so many, with the words of their threads."""
    with transaction.atomic():
        fill_up_to(messages, writer.letter)
        unread = list(Inquiry.objects.filter(words__isnull=True).values_list("pk", flat=True))
        for some in lots(unread, AT_ONCE):
            write_words(some)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def write_words(inquiries: list[int]) -> None:
    """What `index` would write for threads that have no words yet, without a model for each row."""
    said = words_of_threads(inquiries)
    keys = WORDS.keys_of({word for words in said.values() for word in words})
    rows = [(key, keys[word], named) for key, words in said.items() for word, named in words.items()]
    with connection.cursor() as cursor:
        cursor.executemany(
            f"INSERT INTO {WordOfThread._meta.db_table} (inquiry_id, known_id, in_name) VALUES (%s, %s, %s)",  # noqa: S608
            rows,
        )


def one_thread_ms() -> float:
    """How long a deed is kept by bringing the words of its thread up."""
    inquiry = Inquiry.objects.latest("pk")
    Message.objects.filter(inquiry=inquiry).update(
        body="One more word in this thread, said for the first time."
    )
    begun = time.perf_counter()
    index([inquiry.pk])
    return 1000 * (time.perf_counter() - begun)


def main() -> None:
    """Print each page's times, their ratio, its queries and how many threads it finds."""
    call_command("migrate", verbosity=0)
    ShopFactory()
    OpenHours.objects.bulk_create(
        OpenHours(weekday=day, opens="10:00", closes="18:00") for day in range(1, 6)
    )
    client, writer = Client(), Writer()
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    few: dict[str, tuple[float, int]] = {}
    fill(FEW, writer)
    for name, path in searches(writer).items():
        few[name] = median_ms(client, path), queries(client, path)
    fill(MANY, writer)
    assert Message.objects.count() == MANY
    print(
        f"{connection.vendor}: {WrittenWord.objects.count():,} words, {WordOfThread.objects.count():,} said"
    )
    print(f"{connection.vendor}: one thread brought up in {one_thread_ms():.1f} ms")
    print(f"{'':<36} {FEW:>8,} {MANY:>8,}   ratio   queries    threads")
    for name, path in searches(writer).items():
        many, asked = median_ms(client, path), queries(client, path)
        text = path.partition("q=")[2].partition("&")[0].replace("+", " ")
        found = f"{len(find(text).keys):>10,}" if text else ""
        before, asked_before = few[name]
        print(
            f"{name:<36} {before:6.1f}ms {many:6.1f}ms   {many / before:5.2f}   {asked_before:>3}, {asked:>3} {found}"
        )


if __name__ == "__main__":
    main()
