"""Offers accepted, ended and made at one moment: `python -m tests.support.bidders prepare|rush FIRST LAST|tell`.

Three pieces: for the first each of eight people has an offer, and all are accepted, every other one meant for the
queue as well; for the second there is one offer, which is ended in all three ways, four times each; for the third one
person makes four offers, each by two presses.
"""

import json
import sys
import threading
from collections.abc import Callable
from decimal import Decimal

import django

django.setup()

from django.db import connection  # noqa: E402 - the settings come first
from django.utils import timezone  # noqa: E402

from catalog.models import Instrument  # noqa: E402
from inquiries.models import Hold, Inquiry, Offer, OfferEnd  # noqa: E402
from inquiries.offers.actions import accept, decline, make_offer, take_back  # noqa: E402
from shop.refusal import Refused  # noqa: E402
from tests.factories import InquiryFactory, InstrumentFactory, ShopFactory  # noqa: E402

BUYERS, TIMES, OFFERS = 8, 4, 4
Deed = tuple[str, Callable[[], object]]


def prepare() -> None:
    """The pieces, the people, and the offers that are there before."""
    ShopFactory()
    first, second, third = (InstrumentFactory(listed=True) for _ in range(3))
    for number in range(BUYERS):
        _offer(InquiryFactory(instrument=first), 10_000 + number, f"first-{number}")
    _offer(InquiryFactory(instrument=second), 9_000, "second")
    InquiryFactory(instrument=third)


def _offer(inquiry: Inquiry, amount: int, entry: str) -> Offer:
    return make_offer(inquiry, amount=Decimal(amount), entry=entry, by=None, at=timezone.now())


def deeds() -> list[Deed]:
    """All of them, each with a name, mixed so that two processes have some of every piece."""
    third = Inquiry.objects.select_related("contact").order_by("-pk")[0]
    offers = list(Offer.objects.order_by("pk"))
    found: list[Deed] = [
        ("meant" if number % 2 else "free", _accepts(offer, behind=bool(number % 2)))
        for number, offer in enumerate(offers[:BUYERS])
    ]
    for _ in range(TIMES):
        found += [("end", _ends(end, offers[BUYERS])) for end in (accept, decline, take_back)]
    for number in range(OFFERS):
        found += [("make", _makes(third, 8_000 + number, f"third-{number}"))] * 2
    return [deed for start in range(5) for deed in found[start::5]]


def _accepts(offer: Offer, *, behind: bool) -> Callable[[], object]:
    return lambda: accept(offer, behind=behind, by=None, at=timezone.now())


def _ends(end: Callable[..., object], offer: Offer) -> Callable[[], object]:
    return lambda: end(offer, by=None, at=timezone.now())


def _makes(inquiry: Inquiry, amount: int, entry: str) -> Callable[[], object]:
    return lambda: _offer(inquiry, amount, entry)


def rush(first: int, last: int) -> None:
    """Do the deeds numbered first up to last, all at one moment; print what each came to."""
    mine = deeds()[first:last]
    barrier, said = threading.Barrier(len(mine)), list[tuple[str, str]]()
    threads = [threading.Thread(target=_press, args=(*deed, barrier, said)) for deed in mine]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(json.dumps(said))


def _press(
    name: str, deed: Callable[[], object], barrier: threading.Barrier, said: list[tuple[str, str]]
) -> None:
    barrier.wait()
    try:
        deed()
    except Refused as refused:
        said.append((name, refused.code))
    except Exception as fault:
        said.append((name, repr(fault)))
    else:
        said.append((name, "done"))
    connection.close()


def tell() -> None:
    """Print the holds of the first piece, and for each piece its offers with their ends."""
    first, *_ = pieces = list(Instrument.objects.order_by("pk"))
    holds = Hold.objects.filter(instrument=first).order_by("asked_at", "pk")
    ends = dict(OfferEnd.objects.values_list("offer", "how"))
    told = [
        [(offer.entry, ends.get(offer.pk, "")) for offer in piece.offers.order_by("pk")] for piece in pieces
    ]
    accepted = OfferEnd.objects.filter(how="accepted", offer__instrument=first).values_list(
        "hold__state", flat=True
    )
    print(json.dumps({"holds": [hold.state for hold in holds], "offers": told, "accepted": sorted(accepted)}))


if __name__ == "__main__":
    {"prepare": prepare, "rush": rush, "tell": tell}[sys.argv[1]](*map(int, sys.argv[2:]))
