"""A shop to be killed, in processes of its own.

`python -m tests.support.kills receive NUMBER|told|counter PRICE|serve PORT|books`
"""

import hashlib
import json
import sys
from collections.abc import Callable
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import django

django.setup()

from django.conf import settings  # noqa: E402 - the settings come first
from django.core.files.uploadedfile import SimpleUploadedFile  # noqa: E402
from django.utils import timezone  # noqa: E402
from PIL import Image  # noqa: E402

from catalog.models import Instrument, Photograph  # noqa: E402
from catalog.pictures.actions import receive_photograph  # noqa: E402
from catalog.pictures.intake import original_path  # noqa: E402
from catalog.pictures.prints import SUFFIXES, print_path  # noqa: E402
from inquiries.models import Inquiry, LedgerRow, Sale  # noqa: E402
from inquiries.sales.actions import Received, open_sale  # noqa: E402
from inquiries.sales.hold_actions import place_hold  # noqa: E402
from inquiries.sales.queries import facts_of, with_rows  # noqa: E402
from shop.models import Entry, Job  # noqa: E402
from shop.money import Money  # noqa: E402
from shop.serving import serve  # noqa: E402
from tests.factories import InquiryFactory, InstrumentFactory, OwnerFactory, ShopFactory  # noqa: E402


def receive(number: str) -> None:
    """Take in so many photographs, large enough that each keeps the worker busy for a moment."""
    instrument = InstrumentFactory()
    for place in range(int(number)):
        out = BytesIO()
        Image.effect_noise((1500, 1100 + place), 60).convert("RGB").save(out, "JPEG")
        upload = SimpleUploadedFile(f"plate{place}.jpg", out.getvalue(), "image/jpeg")
        receive_photograph(instrument, upload, by=None, at=timezone.now())


def told() -> None:
    """Print how far the work has come."""
    photographs = Photograph.objects.order_by("pk")
    print(
        json.dumps(
            {
                "ready": photographs.filter(state=Photograph.State.READY).count(),
                "finished": sum(Instrument.objects.values_list("revision", flat=True)),
                "jobs": sorted(Job.objects.values_list("state", flat=True)),
                "tries": sum(Job.objects.values_list("tries", flat=True)),
                "prints missing": [path for photograph in photographs for path in _missing(photograph)],
                "half-made": [path.name for path in Path(settings.PRINTS_DIR).rglob("making-*")],
            }
        )
    )


def _missing(photograph: Photograph) -> list[str]:
    """The prints of a photograph that are not on the disk."""
    places = [
        print_path(photograph.token, width, suffix) for width in photograph.widths for suffix in SUFFIXES
    ]
    return [str(place) for place in places if not place.exists()]


def counter(price: str) -> None:
    """An owner, and a piece in an open sale with one unit of money paid in; prints where the presses go."""
    ShopFactory()
    owner, at = OwnerFactory(username="ada"), timezone.now()
    inquiry: Inquiry = InquiryFactory(opened_at=at)
    hold = place_hold(inquiry.instrument, inquiry, by=owner, at=at)
    first = Received(Decimal(1), LedgerRow.Method.CASH, "0" * 32)
    sale = open_sale(hold, price=Decimal(price), shipping=Decimal(0), money=first, by=owner, at=at)
    print(json.dumps({"stock": inquiry.instrument.stock_id, "sale": sale.number, "log-in": owner.username}))


def books() -> None:
    """Print all that the shop holds: photographs with their files, the ledger with its receipts, the work left."""
    sale = with_rows(Sale.objects.all()).get()
    print(
        json.dumps(
            {
                "photographs": [_photograph(photograph) for photograph in Photograph.objects.order_by("pk")],
                "rows": [_row(row) for row in sale.rows.all() if row.is_money_in],
                "balance": str(facts_of(sale).balance),
                "jobs": [
                    [job.task.split(".")[1], job.state] for job in Job.objects.filter(due__lte=timezone.now())
                ],
                "noted": Entry.objects.filter(verb="photograph received").count(),
            }
        )
    )


def _photograph(photograph: Photograph) -> dict[str, Any]:
    place = original_path(photograph.sha256, photograph.suffix)
    return {
        "name": photograph.original_name,
        "state": photograph.state,
        "sha256": photograph.sha256,
        "on disk": hashlib.sha256(place.read_bytes()).hexdigest() if place.exists() else None,
        "prints": len(photograph.widths) * len(SUFFIXES),
        "prints missing": _missing(photograph),
    }


def _row(row: LedgerRow) -> dict[str, Any]:
    receipt = row.receipts.first()
    return {
        "entry": row.entry,
        "received": str(Money(row.received, row.currency).amount),
        "receipt": receipt.number if receipt else None,
        "receipt says": receipt.content["received"] if receipt else None,
    }


def serve_on(port: str) -> None:
    """The site and the worker as `manage.py serve` runs them, without its gate for a real shop."""
    sys.exit(serve(address="127.0.0.1", port=int(port)))


COMMANDS: dict[str, Callable[..., None]] = {
    "receive": receive,
    "told": told,
    "counter": counter,
    "books": books,
    "serve": serve_on,
}

if __name__ == "__main__":
    COMMANDS[sys.argv[1]](*sys.argv[2:])
