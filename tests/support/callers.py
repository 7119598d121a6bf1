"""First calls pressed at one moment: `python -m tests.support.callers prepare|rush|tell`."""

import json
import sys
import threading
from collections.abc import Callable

import django

django.setup()

from django.db import connection  # noqa: E402 - the settings come first
from django.utils import timezone  # noqa: E402

from catalog.models import Instrument  # noqa: E402
from inquiries.models import Call, FirstCall, Message  # noqa: E402
from inquiries.wants.call_actions import open_first_call, tell, told_otherwise  # noqa: E402
from shop.refusal import Refused  # noqa: E402
from tests.factories import ShopFactory  # noqa: E402
from tests.inquiries.wants.conftest import LETTER, LINKS, ready_piece, seek  # noqa: E402

SEEKERS, PRESSES = 3, 6


def prepare() -> None:
    """A piece that is ready, and people who seek it."""
    ShopFactory()
    for days in range(SEEKERS):
        seek(days)
    ready_piece()


def rush() -> None:
    """Open the first call several times at one moment, then tell the second in turn as often."""
    piece = Instrument.objects.get()
    said = _at_once([lambda: _opened(piece)] * PRESSES)
    first = FirstCall.objects.get()
    Call.objects.filter(first_call=first, position=1).update(said=Call.Said.NO)
    second = first.calls.get(position=2)
    presses: list[Callable[[], object]] = [
        lambda: tell(second, LETTER, LINKS, by=None, at=timezone.now()),
        lambda: told_otherwise(second, by=None, at=timezone.now()),
    ]
    said += _at_once(presses * (PRESSES // 2))
    print(json.dumps(said))


def _opened(piece: Instrument) -> FirstCall:
    now = timezone.now()
    return open_first_call(piece, hours=24, one_at_a_time=True, letter=LETTER, links=LINKS, by=None, at=now)


def _at_once(deeds: list[Callable[[], object]]) -> list[str]:
    barrier, said = threading.Barrier(len(deeds)), list[str]()
    threads = [threading.Thread(target=_press, args=(deed, barrier, said)) for deed in deeds]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return said


def _press(deed: Callable[[], object], barrier: threading.Barrier, said: list[str]) -> None:
    barrier.wait()
    try:
        deed()
    except Refused as refused:
        said.append(f"refused: {refused.code}")
    except Exception as error:
        said.append(f"failed: {error!r}")
    else:
        said.append("done")
    finally:
        connection.close()


def tell_all() -> None:
    """Print how it stands."""
    calls = Call.objects.order_by("position")
    told = {
        "first calls": FirstCall.objects.count(),
        "said": list(calls.values_list("said", flat=True)),
        "mails": [Message.objects.filter(inquiry__contact=call.want.contact_id).count() for call in calls],
        "by mail": [call.message_id is not None for call in calls],
    }
    print(json.dumps(told))


if __name__ == "__main__":
    {"prepare": prepare, "rush": rush, "tell": tell_all}[sys.argv[1]]()
