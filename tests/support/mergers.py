"""Merges and questions at one moment: `python -m tests.support.mergers prepare|rush|tell`."""

import json
import sys
import threading
from collections.abc import Callable

import django

django.setup()

from django.db import connection  # noqa: E402 - the settings come first
from django.utils import timezone  # noqa: E402

from inquiries.models import Contact, Inquiry, Merge, Message  # noqa: E402
from inquiries.people.merge_actions import bring_strays, merge  # noqa: E402
from inquiries.sales.hold_actions import place_hold  # noqa: E402
from inquiries.threads.actions import receive_question  # noqa: E402
from shop.refusal import Refused  # noqa: E402
from tests.factories import ContactFactory, InquiryFactory, InstrumentFactory, ShopFactory  # noqa: E402

PIECES = 6


def prepare() -> None:
    """Two contacts of one person, and pieces that both ask about."""
    ShopFactory()
    for name in ("Ruth", "R. J."):
        ContactFactory(name=name, email=f"{name[0]}{len(name)}@lane.example".lower())
    for number in range(PIECES):
        piece = InstrumentFactory(listed=True)
        InquiryFactory(instrument=piece, contact=Contact.objects.order_by("pk")[number % 2])


def rush() -> None:
    """Merge them both ways, ask from both addresses about every piece, and hold each, all at one moment."""
    first, second = Contact.objects.order_by("pk")
    deeds: list[Callable[[], object]] = [
        lambda: merge(first, second, by=None, at=timezone.now()),
        lambda: merge(second, first, by=None, at=timezone.now()),
    ]
    for inquiry in Inquiry.objects.select_related("instrument", "contact").order_by("pk"):
        deeds += [_asks(inquiry, person.email) for person in (first, second)]
        deeds.append(_holds(inquiry))
    barrier, said = threading.Barrier(len(deeds)), list[str]()
    threads = [threading.Thread(target=_press, args=(deed, barrier, said)) for deed in deeds]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(json.dumps(said))


def _asks(inquiry: Inquiry, email: str) -> Callable[[], object]:
    piece = inquiry.instrument
    assert piece is not None
    return lambda: receive_question(
        piece, name="Ruth", email=email, telephone="", text=f"{email} asks", at=timezone.now()
    )


def _holds(inquiry: Inquiry) -> Callable[[], object]:
    assert inquiry.instrument is not None
    return lambda: place_hold(inquiry.instrument, inquiry, by=None, at=timezone.now())  # type: ignore[arg-type]


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


def tell() -> None:
    """Bring over what was written at the moment, twice, and print how it stands."""
    strays = [bring_strays(timezone.now()), bring_strays(timezone.now())]
    merged = Merge.objects.get()
    pieces = Inquiry.objects.filter(done_at__isnull=True).values_list("instrument", flat=True)
    told = {
        "second round": strays[1],
        "left behind": merged.gone.inquiries.count() + merged.gone.holds.count(),
        "open": len(pieces),
        "pieces": len(set(pieces)),
        "holds": merged.kept.holds.count(),
        "asked": Message.objects.filter(ours=False).count(),
        "kept by": Message.objects.filter(ours=False, inquiry__contact=merged.kept).count(),
    }
    print(json.dumps(told))


if __name__ == "__main__":
    {"prepare": prepare, "rush": rush, "tell": tell}[sys.argv[1]]()
