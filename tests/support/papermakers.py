"""Many hands at the papers at once: `python -m tests.support.papermakers prepare|press FIRST LAST|look|tell`.

Each hand presses through the site itself, with a log-in of its own.
"""

import json
import sys
import threading
from collections.abc import Callable
from uuid import uuid5

import django

django.setup()

from uuid import NAMESPACE_OID  # noqa: E402 - the settings come first

from django.conf import settings  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402
from django.urls import reverse  # noqa: E402

from inquiries.models import IssuedPaper, PaperFile, Sale  # noqa: E402
from shop.models import User  # noqa: E402
from tests.factories import HelperFactory  # noqa: E402
from tests.inquiries.steps import opened  # noqa: E402

SALES, HANDS = 5, 4


def prepare() -> None:
    """Five open sales, one helper at the desk."""
    HelperFactory(username="desk")
    for _ in range(SALES):
        opened()


def press(first: int, last: int) -> None:
    """Each sale's invoice, pressed by several hands at one moment: half of them with one press sent twice."""
    sales = [sale.number for sale in Sale.objects.order_by("pk")]
    hands = [(number, hand) for number in sales for hand in range(first, last)]
    _at_once([lambda client, what=one: _make(client, *what) for one in hands])  # type: ignore[misc]


def look() -> None:
    """Several hands open the same papers at one moment, none of which has a file yet."""
    addresses = [
        reverse("issued-paper", args=[paper.number, paper.version])
        for paper in IssuedPaper.objects.filter(kind="invoice")
        for _ in range(HANDS)
    ]
    _at_once([lambda client, what=one: client.get(what).status_code for one in addresses])  # type: ignore[misc]


def _make(client: Client, sale: str, hand: int) -> int:
    entry = uuid5(NAMESPACE_OID, f"{sale} {hand // 2}").hex
    return client.post(reverse("paper-make", args=[sale, "invoice"]), {"entry": entry}).status_code


def _at_once(deeds: list[Callable[[Client], int]]) -> None:
    barrier = threading.Barrier(len(deeds))
    answers: list[int] = []

    def run(deed: Callable[[Client], int]) -> None:
        client = Client(raise_request_exception=False)
        client.force_login(
            User.objects.get(username="desk"), backend="django.contrib.auth.backends.ModelBackend"
        )
        barrier.wait()
        answers.append(deed(client))
        connection.close()

    threads = [threading.Thread(target=run, args=(deed,)) for deed in deeds]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(json.dumps(answers))


def tell() -> None:
    """Print the numbers, the files by their rows, and the files in the folder."""
    rows = sorted(IssuedPaper.objects.filter(kind="invoice").values_list("number", flat=True))
    files = sorted(PaperFile.objects.filter(paper__kind="invoice").values_list("name", flat=True))
    kept = sorted(path.name for path in settings.PAPERS_DIR.glob("*")) if settings.PAPERS_DIR.exists() else []
    print(json.dumps([rows, files, kept]))


if __name__ == "__main__":
    {"prepare": prepare, "press": press, "look": look, "tell": tell}[sys.argv[1]](*map(int, sys.argv[2:]))
