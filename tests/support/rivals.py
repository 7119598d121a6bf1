"""Many buyers at once, in one process: `python -m tests.support.rivals prepare|rush FIRST LAST|tell`.

Each rival presses the desk's hold button through the site itself, with a log-in of its own. With `promise` there is one
hold and one who waits for it, and `extend MANY` presses the button that makes it longer, so many times at once.
"""

import json
import sys
import threading

import django

django.setup()

from django.db import connection  # noqa: E402 - the settings come first
from django.test import Client  # noqa: E402
from django.urls import reverse  # noqa: E402
from django.utils import timezone  # noqa: E402

from inquiries.models import Hold, Inquiry  # noqa: E402
from inquiries.sales.hold_actions import place_hold  # noqa: E402
from shop.models import User  # noqa: E402
from tests.factories import ContactFactory, HelperFactory, InquiryFactory, InstrumentFactory  # noqa: E402

BUYERS = 100


def prepare() -> None:
    """One listed instrument, a hundred people who ask for it, one helper at the desk."""
    HelperFactory(username="desk")
    instrument = InstrumentFactory(listed=True)
    for number in range(BUYERS):
        contact = ContactFactory(name=f"Rival {number}", email=f"rival{number}@post.example")
        InquiryFactory(contact=contact, instrument=instrument, opened_at=timezone.now())


def rush(first: int, last: int) -> None:
    """Place the holds of the inquiries numbered first up to last, all at one moment."""
    inquiries = list(Inquiry.objects.order_by("pk")[first:last])
    _at_once([(reverse("inquiry-hold", args=[inquiry.pk]), {"hours": "48"}) for inquiry in inquiries])


def promise() -> None:
    """One piece on hold, somebody who waits for it, and one helper at the desk."""
    HelperFactory(username="desk")
    instrument, at = InstrumentFactory(listed=True), timezone.now()
    for _ in range(2):
        place_hold(instrument, InquiryFactory(instrument=instrument), by=None, at=at)


def extend(many: int) -> None:
    """Make the running hold longer from so many threads at one moment, each by another number of hours."""
    address = reverse("hold-extend", args=[Hold.objects.get(state=Hold.State.ACTIVE).pk])
    _at_once([(address, {"hours": str(number + 1)}) for number in range(many)])


def _at_once(presses: list[tuple[str, dict[str, str]]]) -> None:
    """Press them all at one moment, and print what was answered."""
    barrier = threading.Barrier(len(presses))
    answers: list[int] = []
    threads = [threading.Thread(target=_press, args=(*press, barrier, answers)) for press in presses]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(json.dumps(answers))


def _press(address: str, typed: dict[str, str], barrier: threading.Barrier, answers: list[int]) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(User.objects.get(username="desk"), backend="django.contrib.auth.backends.ModelBackend")
    barrier.wait()
    answers.append(client.post(address, typed).status_code)
    connection.close()


def tell() -> None:
    """Print every hold in the order it was asked for."""
    holds = Hold.objects.order_by("asked_at", "pk").values(
        "state", "contact_id", "starts_at", "until", "extended_hours"
    )
    print(json.dumps(list(holds), default=str))


if __name__ == "__main__":
    WHAT = {"prepare": prepare, "rush": rush, "promise": promise, "extend": extend, "tell": tell}
    WHAT[sys.argv[1]](*map(int, sys.argv[2:]))
