"""The inbox with 100,000 messages in 20,000 threads against 1,000 in 200: it should take at most twice as long.

.venv/bin/python -m tests.benchmarks.inbox
.venv/bin/python -m tests.support.postgres -- .venv/bin/python -m tests.benchmarks.inbox
"""

import statistics
import time
from collections.abc import Callable
from datetime import timedelta

from tests.support import environment

environment.prepare()

from django.core.management import call_command  # noqa: E402 - the environment comes first
from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402

from inquiries.models import Contact, Inquiry, Message  # noqa: E402
from shop.models import OpenHours  # noqa: E402
from tests.factories import NOON, InstrumentFactory, OwnerFactory, ShopFactory  # noqa: E402

ROUNDS = 25
IN_A_THREAD = 5
FEW, MANY = 1_000, 100_000  # messages
PAGES = (
    "/desk/inquiries/",
    "/desk/inquiries/?show=theirs",
    "/desk/inquiries/?show=done",
    "/desk/inquiries/?show=all",
    "/desk/",
)
HOUR = timedelta(hours=1)
MOST = 2.0


def plainly(number: int) -> str:
    """What the nth word of a thread says."""
    return f"Word {number} of a thread. " + "What is the action at the twelfth fret? " * 12


def fill_up_to(messages: int, says: Callable[[int], str] = plainly) -> None:
    """Add threads of five messages: of four, one waits for us, one for them, and two are done."""
    begun, threads = Inquiry.objects.count(), messages // IN_A_THREAD
    pieces = [InstrumentFactory(listed=True) for _ in range(max(0, 40 - begun))] or [
        inquiry.instrument for inquiry in Inquiry.objects.select_related("instrument")[:40]
    ]
    people = Contact.objects.bulk_create(
        Contact(name=f"Buyer {place}", email=f"b{place}@post.example", created_at=NOON)
        for place in range(begun, threads)
    )
    opened = [NOON - HOUR * (threads - place) / 50 for place in range(begun, threads)]
    rows = Inquiry.objects.bulk_create(
        (
            Inquiry(
                contact=person,
                instrument=pieces[place % len(pieces)],
                opened_at=at,
                last_at=at + HOUR * IN_A_THREAD,
                waiting_since=at + HOUR * IN_A_THREAD if place % 4 == 0 else None,
                done_at=at + 9 * HOUR if place % 4 > 1 else None,
            )
            for place, (person, at) in enumerate(zip(people, opened, strict=True))
        ),
        batch_size=1000,
    )
    Message.objects.bulk_create(
        (
            Message(
                inquiry=row,
                ours=bool(number % 2) if row.waiting_since else bool(number % 2 == 0),
                channel=Message.Channel.MAIL,
                body=says(number),
                at=row.opened_at + HOUR * number,
                message_id=f"<{row.pk}.{number}@post.example>",
            )
            for row in rows
            for number in range(1, IN_A_THREAD + 1)
        ),
        batch_size=1000,
    )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def median_ms(client: Client, path: str) -> float:
    """The median time of one answer, in milliseconds."""
    client.get(path)
    times = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        assert client.get(path).status_code == 200
        times.append(1000 * (time.perf_counter() - begun))
    return statistics.median(times)


def main() -> None:
    """Print each page's times, their ratio, and whether it is within what was promised."""
    call_command("migrate", verbosity=0)
    ShopFactory()
    OpenHours.objects.bulk_create(
        OpenHours(weekday=day, opens="10:00", closes="18:00") for day in range(1, 6)
    )
    client = Client()
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    fill_up_to(FEW)
    few = {path: median_ms(client, path) for path in PAGES}
    fill_up_to(MANY)
    assert Message.objects.count() == MANY
    print(f"{connection.vendor}: {'page':<30} {FEW:>8,} {MANY:>8,}   ratio")
    for path in PAGES:
        many = median_ms(client, path)
        ratio = many / few[path]
        said = "" if ratio <= MOST else f"   more than {MOST:g} times"
        print(f"{connection.vendor}: {path:<30} {few[path]:6.1f}ms {many:6.1f}ms   {ratio:5.2f}{said}")


if __name__ == "__main__":
    main()
