"""A small shop in good order, made by its deeds, with files in folders of its own."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from catalog.instruments.actions import move, open_record
from catalog.models import Acquisition, Cost, Instrument, Kind
from catalog.papers.actions import add_paper
from catalog.pictures.actions import receive_photograph, remove
from catalog.recordings.actions import receive_recording
from inquiries.mail.actions import take_in
from inquiries.models import Inquiry, TaxPolicy, TaxRate
from inquiries.offers.actions import accept, make_offer
from inquiries.papers.issuing import issue_paper
from inquiries.sales import actions
from inquiries.sales.hold_actions import place_hold, release_hold
from shop.jobs.models import Job
from tests.factories import NOON, ContactFactory, ShopFactory
from tests.inquiries.steps import ask, cleared, closed, delivered, entry, opened, received
from tests.support.sounds import wav

FOLDERS = (
    "ORIGINALS_DIR",
    "RECORDINGS_DIR",
    "RECEIVED_DIR",
    "MAIL_DIR",
    "PAPERS_DIR",
    "PRINTS_DIR",
    "PLAYED_DIR",
)
LETTER = (
    b"From: Orrin Pell <orrin@post.example>\r\nTo: desk@harrowlane.example\r\nSubject: The old banjo\r\n"
    b"Message-ID: <one@post.example>\r\nDate: Wed, 10 Jun 2026 10:00:00 +0000\r\nMIME-Version: 1.0\r\n"
    b'Content-Type: multipart/mixed; boundary="edge"\r\n\r\n--edge\r\nContent-Type: text/plain\r\n\r\n'
    b"Here is a list.\r\n--edge\r\nContent-Type: text/plain\r\n"
    b'Content-Disposition: attachment; filename="list.txt"\r\n\r\nOne banjo\r\n--edge--\r\n'
)


def piece(*, listed: bool = True, how: str = "", at: datetime = NOON) -> Instrument:
    """A piece whose record was opened by its deed, and perhaps where it came from."""
    made = open_record(Kind.objects.get(slug="banjo"), by=None, at=at, asking_price=Decimal(12500))
    if how:
        share = Decimal(20) if how == "consigned" else None
        Acquisition.objects.create(
            instrument=made, how=how, seller="Orrin Pell", on=date(2026, 1, 1), commission_percent=share
        )
        Cost.objects.create(
            instrument=made, kind="purchase", amount=Decimal(4000), currency="USD", on=date(2026, 1, 1), at=at
        )
    if listed:
        move(made, [Instrument.State.DRAFT], Instrument.State.LISTED, by=None, at=at)
    return made


def asked(made: Instrument, *, at: datetime = NOON) -> Inquiry:
    """A thread of somebody new about it."""
    inquiry = Inquiry.objects.create(contact=ContactFactory(), instrument=made, opened_at=at, last_at=at)
    ask(inquiry, at=at)
    return inquiry


def picture(colour: str) -> SimpleUploadedFile:
    """A photograph as it is sent in."""
    out = BytesIO()
    Image.new("RGB", (240, 240), colour).save(out, "JPEG")
    return SimpleUploadedFile(f"{colour}.jpg", out.getvalue(), "image/jpeg")


def fill() -> dict[str, Any]:
    """Holds and a queue, an offer accepted, a sale open, one on approval, one closed, one off, and kept files."""
    held = piece()
    for number in range(3):
        place_hold(held, asked(held), by=None, at=NOON + timedelta(minutes=number))
    wished = asked(piece())
    offer = make_offer(wished, amount=Decimal(900), entry=entry(), by=None, at=NOON)
    accept(offer, by=None, at=NOON)
    again = piece()
    release_hold(place_hold(again, asked(again), by=None, at=NOON), by=None, at=NOON)
    open_sale = opened(instrument=piece(how="bought"))
    place_hold(open_sale.instrument, asked(open_sale.instrument), by=None, at=NOON)
    actions.reverse_row(open_sale.rows.get(kind="deposit"), reason="Typed wrongly", by=None, at=NOON)
    over = delivered(
        opened(instrument=piece(how="bought"), at=NOON - timedelta(hours=40)), at=NOON - timedelta(hours=30)
    )
    sold = closed(instrument=piece(how="bought"), shipping="85.50")
    share = closed(instrument=piece(how="consigned"))
    actions.pay_consignor(share, method="wire", by=None, at=NOON)
    off = cleared(opened(instrument=piece()))
    actions.end_without_sale(off, reason="Changed their mind", money=received("2500.00"), by=None, at=NOON)
    quoted = {"price": Decimal(900), "shipping": Decimal(0), "until": date(2026, 6, 20)}
    first = issue_paper("quotation", wished, entry=entry(), by=None, at=NOON, given=quoted)
    again_quoted: dict[str, Any] = {"cancels": first.version, "reason": "A typing error"}
    issue_paper("quotation", wished, entry=entry(), by=None, at=NOON, given=quoted, **again_quoted)
    _files(held)
    Job.objects.update(due=NOON + timedelta(days=30))
    return {"held": held, "open": open_sale, "over": over, "sold": sold, "share": share, "off": off}


def _files(made: Instrument) -> None:
    receive_photograph(made, picture("red"), by=None, at=NOON)
    remove(receive_photograph(made, picture("blue"), by=None, at=NOON), by=None, at=NOON)
    receive_recording(made, SimpleUploadedFile("tune.wav", wav()), by=None, at=NOON)
    scan = BytesIO()
    Image.new("RGB", (60, 80), "#ddc").save(scan, "PNG")
    upload = SimpleUploadedFile("bill.png", scan.getvalue())
    add_paper(made, {"kind": "bill", "title": "Bill of sale", "when": "1931"}, upload, by=None, at=NOON)
    take_in(LETTER, at=NOON)


@pytest.fixture
def folders(settings: Any, tmp_path: Path) -> Path:
    """Folders for kept files that nobody else writes to."""
    for name in FOLDERS:
        setattr(settings, name, tmp_path / name)
    return tmp_path


@pytest.fixture
def shop(db: None, folders: Path) -> dict[str, Any]:
    """The shop, filled."""
    ShopFactory(address="1 Quarry Road\nRutland, VT 05701", country="US")
    first = date(2026, 1, 1)
    TaxPolicy.objects.create(starts=first, scheme="vat-margin", at=NOON)
    TaxRate.objects.create(
        jurisdiction="Inland", country="US", percent=20, starts=first, source="A notice", at=NOON
    )
    return fill()
