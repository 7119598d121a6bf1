"""The receipt as PDF: what stands on it, hostile text as text, the same bytes every time, and its later versions."""

import hashlib
import json
import os
from pathlib import Path
from typing import Any

import pytest
import typst
from django.conf import settings
from django.test import Client
from django.urls import reverse

from catalog.models import FoundNumber
from inquiries.models import Contact, IssuedPaper, LedgerRow, PaperFile, Sale
from inquiries.papers import filing
from inquiries.papers.filing import bytes_of, file_of
from inquiries.papers.receipts import renew_receipt
from inquiries.papers.rules import digest
from inquiries.sales import actions
from shop.jobs.worker import drain
from shop.models import ShopProfile
from shop.refusal import Refused
from shop.typesetting import TEMPLATES, pdf
from tests.factories import NOON, InstrumentFactory
from tests.inquiries.papers.conftest import DAY
from tests.inquiries.steps import MINUTE, entry, fresh, opened, received
from tests.support.papers import Paper

HOSTILE = [
    '#panic("no")',
    "*bold* _it_",
    "<b>&amp;</b>",
    "$x^2$ @ref \\ ` ~ [ ]",
    '#eval("1 + 1")',
    "= Heading",
]


EARLIER = {
    "sheet": "a4",
    "issued": "3 May 2025",
    "day": [2025, 5, 3],
    "number": "R2025-0001",
    "shop": {"name": "Harrow Lane Strings", "address": "4 Harrow Lane", "telephone": "", "email": ""},
    "buyer": {"name": "Ada Quill", "address": "9 Quay"},
    "sale": "2025-001",
    "instrument": "No. 7: A banjo",
    "numbers": ["Serial number 12"],
    "what": "Deposit",
    "method": "Cash",
    "note": "",
    "more": ["Rate of 1 May"],
    "received": "$100",
    "charged": "$1,000",
    "paid": "$100",
    "balance": "$900",
}
RECEIPT = TEMPLATES / "receipt.typ"


def receipt_path(receipt: IssuedPaper) -> Path:
    """The file of a receipt, made when it is not there yet."""
    return Path(settings.PAPERS_DIR) / file_of(receipt, at=NOON).name


@pytest.fixture
def receipt(owner: object) -> IssuedPaper:
    opened(contact__name="Cole Withers")
    return IssuedPaper.objects.get()


def test_staff_get_the_receipt_and_a_stranger_does_not(
    helpers: Client, client: Client, receipt: IssuedPaper
) -> None:
    address = reverse("issued-paper", args=[receipt.number, 1])
    answer = helpers.get(address)
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content[:5] == b"%PDF-"
    assert "no-store" in answer["Cache-Control"]
    assert client.get(address)["Location"].startswith("/desk/log-in/")
    assert helpers.post(address).status_code == 405
    assert helpers.get(reverse("issued-paper", args=["R1900-0001", 1])).status_code == 404


def test_a_sign_that_is_no_letter_stops_no_paper_and_does_not_stand_on_it(
    owner: object, helpers: Client
) -> None:
    opened(contact__name="Bob\x01 \u202eWithers")
    issued = IssuedPaper.objects.get()
    assert "Bob Withers" in str(issued.content)
    assert issued.sha256 == digest(issued.content)
    assert "Bob Withers" in Paper(receipt_path(issued).read_bytes()).text
    earlier = IssuedPaper.objects.create(
        kind="receipt", number="R2026-0900", instrument=issued.instrument, sale=issued.sale, sha256="x",
        row=LedgerRow.objects.get(kind="price"), entry=entry(), at=NOON,
        content=issued.content | {"number": "R2026-0900", "foot": "Bob\x01", "sale": "\x01"},
    )  # fmt: skip
    assert helpers.get(reverse("issued-paper", args=[earlier.number, 1])).status_code == 200


def test_what_cannot_be_set_is_said_on_the_page_of_the_sale(
    helpers: Client, receipt: IssuedPaper, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*args: object) -> bytes:
        raise typst.TypstError("no such sign")

    monkeypatch.setattr(filing, "pdf", broken)
    page = helpers.get(reverse("issued-paper", args=[receipt.number, 1]), follow=True).content.decode()
    assert "could not be set as a page (no such sign)" in page


def test_it_says_who_paid_what_for_what(receipt: IssuedPaper) -> None:
    text = Paper(receipt_path(receipt).read_bytes()).text
    for said in (
        f"No. {receipt.number}",
        "10 June 2026",
        "Cole Withers",
        "Deposit received, by bank wire",
        "Charged in all $12,500",
        "Received in all $2,500",
        "Balance $10,000",
        "Harrow Lane Strings",
    ):
        assert said in text


def test_it_is_a_paper_like_the_others(owner: object) -> None:
    ShopProfile.objects.update(tax_number="VAT 12 345")
    piece, long = InstrumentFactory(listed=True), "W" * 110
    FoundNumber.objects.create(instrument=piece, value="1,234", where="on the heel", legibility="faint")
    opened(instrument=piece, contact__address="Lindenweg 3", contact__country="DE", contact__name=long)
    actions.record_payment(Sale.objects.get(), received("1000", "ach"), by=None, at=NOON)
    text = Paper(receipt_path(IssuedPaper.objects.latest("pk")).read_bytes()).text
    for said in ("Lindenweg 3 GERMANY", "1,234, on the heel (faint)", "VAT 12 345", "by bank transfer (ACH)"):
        assert said in text
    assert long not in text, "its line ends within it"


def test_what_was_frozen_in_the_earlier_shape_is_still_set(receipt: IssuedPaper, helpers: Client) -> None:
    earlier = IssuedPaper.objects.create(
        kind="receipt", number="R2025-0001", instrument=receipt.instrument, sale=receipt.sale, sha256="x",
        row=LedgerRow.objects.get(kind="price"), entry=entry(), at=NOON, content=EARLIER,
    )  # fmt: skip
    text = Paper(receipt_path(earlier).read_bytes()).text
    for said in (
        "Receipt R2025-0001",
        "Ada Quill",
        "Deposit received, by cash",
        "Balance $900",
        "Rate of 1 May",
    ):
        assert said in text


def test_it_is_tagged_dated_and_named(receipt: IssuedPaper) -> None:
    paper = Paper(receipt_path(receipt).read_bytes())
    assert paper.tagged
    assert paper.title == f"Receipt {receipt.number}"
    assert paper.reader.metadata is not None
    assert f"{paper.reader.metadata.creation_date:%Y-%m-%d}" == "2026-06-10"


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_is_printed_as_it_was_typed(hostile: str, receipt: IssuedPaper) -> None:
    content: dict[str, Any] = receipt.content | {"lines": [[hostile, hostile, hostile]]}
    content["to"] = {"label": hostile, "name": hostile, "address": hostile}
    content["piece"] = {"label": hostile, "name": hostile, "facts": [hostile]}
    assert Paper(pdf(RECEIPT, json.dumps(content))).text.count(" ".join(hostile.split())) == 9


def test_the_same_words_give_the_same_bytes(receipt: IssuedPaper) -> None:
    data = json.dumps(receipt.content)
    assert pdf(RECEIPT, data) == pdf(RECEIPT, data)


def test_it_is_made_once_and_kept_whole(
    receipt: IssuedPaper, kept_in: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = receipt_path(receipt)
    made = first.read_bytes()
    monkeypatch.setattr(filing, "pdf", lambda template, data: pytest.fail("made a second time"))
    assert receipt_path(receipt) == first
    assert first.read_bytes() == made
    assert [path.name for path in kept_in.iterdir()] == [first.name]
    assert first.name.startswith(receipt.number.lower())
    assert receipt.file.sha256 == hashlib.sha256(made).hexdigest()


def test_the_worker_makes_it_after_the_deed(receipt: IssuedPaper, kept_in: Path) -> None:
    drain()
    assert [path.name for path in kept_in.iterdir()] == [PaperFile.objects.get(paper=receipt).name]


def test_other_words_never_share_a_file(receipt: IssuedPaper) -> None:
    first = filing._path(receipt)
    receipt.content = receipt.content | {"note": "Another"}
    assert filing._path(receipt) != first


def test_a_making_that_fails_leaves_no_file_behind(
    receipt: IssuedPaper, kept_in: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(path: str, target: Path) -> None:
        raise OSError("no space")

    monkeypatch.setattr(os, "link", broken)
    with pytest.raises(OSError, match="no space"):
        receipt_path(receipt)
    assert list(kept_in.iterdir()) == []


@pytest.mark.parametrize(("country", "size"), [("US", (612, 792)), ("DE", (595, 842))])
def test_it_is_on_the_paper_of_the_country(
    country: str, size: tuple[int, int], owner: object, profile: ShopProfile, kept_in: Path
) -> None:
    ShopProfile.objects.update(country=country)
    opened()
    box = Paper(receipt_path(IssuedPaper.objects.get()).read_bytes()).reader.pages[0].mediabox
    assert (round(box.width), round(box.height)) == size


def anew(
    receipt: IssuedPaper, *, cancels: int = 1, reason: str = "The address was wrong", **press: Any
) -> IssuedPaper:
    """The next version of a receipt, a day later."""
    assert receipt.row is not None
    press = {"entry": entry(), "by": None, "at": NOON + DAY} | press
    return renew_receipt(receipt.row, cancels=cancels, reason=reason, **press)


def test_a_new_version_cancels_the_old_with_its_reason_and_both_are_kept(receipt: IssuedPaper) -> None:
    old = bytes_of(receipt, at=NOON)
    Contact.objects.update(address="12 Alder Row")
    new = anew(receipt)
    assert (new.number, new.version, new.cancels, new.row) == (receipt.number, 2, receipt, receipt.row)
    assert len({receipt.sha256, new.sha256}) == 2
    text = Paper(bytes_of(new, at=NOON + DAY)).text
    said = f"Replaces version 1 of receipt {receipt.number}, of 10 June 2026, because: The address was wrong."
    assert said in text
    assert "12 Alder Row" in text
    assert Paper(bytes_of(new, at=NOON)).title == f"Receipt {receipt.number}, version 2"
    assert bytes_of(receipt, at=NOON + DAY) == old


def test_a_new_version_needs_its_reason_and_the_one_before_it(receipt: IssuedPaper) -> None:
    with pytest.raises(Refused, match="Write why"):
        anew(receipt, reason=" ")
    press = entry()
    assert anew(receipt, entry=press) == anew(receipt, entry=press)
    with pytest.raises(Refused, match="Version 2 of it was made meanwhile"):
        anew(receipt)
    assert IssuedPaper.objects.count() == 2


def test_it_tells_the_account_of_its_day_and_that_the_amount_was_booked_back(receipt: IssuedPaper) -> None:
    assert receipt.sale is not None
    assert receipt.row is not None
    last = actions.record_payment(fresh(receipt.sale), received("10000"), by=None, at=NOON + MINUTE)
    actions.reverse_row(receipt.row, reason="It was for another sale", by=None, at=NOON + 2 * MINUTE)
    content = anew(receipt).content
    assert (content["sums"][1], content["balance"]) == (["Received in all", "$2,500"], "$10,000")
    assert content["more"][-1] == "Booked back on 10 June 2026."
    later = last.receipts.get().content
    assert (later["sums"][1], later["balance"]) == (["Received in all", "$12,500"], "$0")


def test_at_the_desk_it_is_made_anew_under_its_number(helpers: Client, receipt: IssuedPaper) -> None:
    assert receipt.sale is not None
    page = reverse("sale", args=[receipt.sale.number])
    address, typed = reverse("receipt-anew", args=[receipt.number]), {"entry": entry(), "cancels": "1"}
    assert "Receipt for $2,500" in helpers.get(page).content.decode()

    refused = helpers.post(address, typed | {"reason": ""}).content.decode()
    assert "Nothing was saved yet" in refused
    late = helpers.post(address, typed | {"cancels": "7", "reason": "A slip of the pen"}).content.decode()
    assert "Version 1 of it was made meanwhile" in late
    assert "A slip of the pen" in late

    for _ in range(2):
        assert helpers.post(address, typed | {"reason": "A slip of the pen"}).status_code == 302
    assert IssuedPaper.objects.count() == 2
    shown = helpers.get(page).content.decode()
    assert "Cancelled by version 2: A slip of the pen" in shown
    assert reverse("issued-paper", args=[receipt.number, 2]) in shown
    assert helpers.post(reverse("receipt-anew", args=["R1900-0001"]), typed).status_code == 404
