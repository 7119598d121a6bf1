"""A shop whose mail goes out in processes of its own. `python -m tests.support.mails ask|told|again`"""

import json
import sys
from collections.abc import Callable

import django

django.setup()

from django.utils import timezone  # noqa: E402 - the settings come first

from inquiries.models import Message  # noqa: E402
from inquiries.threads.actions import receive_question  # noqa: E402
from inquiries.threads.sending import send_again  # noqa: E402
from shop.models import Job  # noqa: E402
from tests.factories import InstrumentFactory, ShopFactory  # noqa: E402


def ask() -> None:
    """Take in a question, whose acknowledgement is to be mailed."""
    ShopFactory()
    piece = InstrumentFactory(listed=True)
    said = {"name": "Ines Vale", "email": "ines@post.example", "telephone": "", "text": "Is it still there?"}
    receive_question(piece, **said, at=timezone.now())


def told() -> None:
    """Print what the shop thinks of its mail."""
    message = Message.objects.get(ours=True)
    print(
        json.dumps(
            {
                "state": message.delivery,
                "why": message.trouble,
                "wire": message.wire,
                "jobs": sorted(Job.objects.values_list("state", flat=True)),
            }
        )
    )


def again() -> None:
    """Press “Try again”."""
    send_again(Message.objects.get(ours=True), by=None, at=timezone.now())


COMMANDS: dict[str, Callable[[], None]] = {"ask": ask, "told": told, "again": again}

if __name__ == "__main__":
    COMMANDS[sys.argv[1]]()
