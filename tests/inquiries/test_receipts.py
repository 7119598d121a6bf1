"""The receipt as PDF: what stands on it, that hostile text stays text, that its bytes are the same every time."""

import hashlib
import json
import os
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from inquiries.models import PaperFile, Receipt
from inquiries.papers import filing
from inquiries.papers.pdf import RECEIPT, receipt_path
from shop.jobs.worker import drain
from shop.models import ShopProfile
from shop.typesetting import pdf
from tests.inquiries.steps import opened
from tests.support.papers import Paper

HOSTILE = [
    '#panic("no")',
    "*bold* _it_",
    "<b>&amp;</b>",
    "$x^2$ @ref \\ ` ~ [ ]",
    '#eval("1 + 1")',
    "= Heading",
]


@pytest.fixture
def kept_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(settings, "PAPERS_DIR", tmp_path / "papers")
    return tmp_path / "papers"


@pytest.fixture
def receipt(owner: object, kept_in: Path) -> Receipt:
    opened(contact__name="Cole Withers")
    return Receipt.objects.get()


def test_staff_get_the_receipt_and_a_stranger_does_not(
    helpers: Client, client: Client, receipt: Receipt
) -> None:
    address = reverse("receipt", args=[receipt.number])
    answer = helpers.get(address)
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content[:5] == b"%PDF-"
    assert "no-store" in answer["Cache-Control"]
    assert client.get(address)["Location"].startswith("/desk/log-in/")
    assert helpers.post(address).status_code == 405
    assert helpers.get(reverse("receipt", args=["R1900-0001"])).status_code == 404


def test_it_says_who_paid_what_for_what(receipt: Receipt) -> None:
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


def test_it_is_tagged_dated_and_named(receipt: Receipt) -> None:
    paper = Paper(receipt_path(receipt).read_bytes())
    assert paper.tagged
    assert paper.title == f"Receipt {receipt.number}"
    assert paper.reader.metadata is not None
    assert f"{paper.reader.metadata.creation_date:%Y-%m-%d}" == "2026-06-10"


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_is_printed_as_it_was_typed(hostile: str, receipt: Receipt) -> None:
    content: dict[str, Any] = receipt.content | {"note": hostile, "instrument": hostile, "numbers": [hostile]}
    content["buyer"] = {"name": hostile, "address": hostile}
    assert Paper(pdf(RECEIPT, json.dumps(content))).text.count(" ".join(hostile.split())) == 5


def test_the_same_words_give_the_same_bytes(receipt: Receipt) -> None:
    data = json.dumps(receipt.content)
    assert pdf(RECEIPT, data) == pdf(RECEIPT, data)


def test_it_is_made_once_and_kept_whole(
    receipt: Receipt, kept_in: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = receipt_path(receipt)
    made = first.read_bytes()
    monkeypatch.setattr(filing, "pdf", lambda template, data: pytest.fail("made a second time"))
    assert receipt_path(receipt) == first
    assert first.read_bytes() == made
    assert [path.name for path in kept_in.iterdir()] == [first.name]
    assert first.name.startswith(receipt.number.lower())
    assert receipt.file.sha256 == hashlib.sha256(made).hexdigest()


def test_the_worker_makes_it_after_the_deed(receipt: Receipt, kept_in: Path) -> None:
    drain()
    assert [path.name for path in kept_in.iterdir()] == [PaperFile.objects.get(receipt=receipt).name]


def test_other_words_never_share_a_file(receipt: Receipt) -> None:
    first = filing._path(receipt)
    receipt.content = receipt.content | {"note": "Another"}
    assert filing._path(receipt) != first


def test_a_making_that_fails_leaves_no_file_behind(
    receipt: Receipt, kept_in: Path, monkeypatch: pytest.MonkeyPatch
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
    box = Paper(receipt_path(Receipt.objects.get()).read_bytes()).reader.pages[0].mediabox
    assert (round(box.width), round(box.height)) == size
