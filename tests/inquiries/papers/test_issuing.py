"""A paper issued: its number without gaps, its versions, its hash, one press one paper, and its file."""

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import DatabaseError, IntegrityError, transaction

from inquiries.models import IssuedPaper, PaperFile, Sale
from inquiries.papers import filing
from inquiries.papers.filing import bytes_of, file_of
from inquiries.papers.issuing import issue_paper
from inquiries.papers.rules import canonical, digest, file_name
from inquiries.people.merge_actions import merge
from inquiries.sales import actions
from shop.facts import FactIsFixed
from shop.history.models import Entry
from shop.jobs.worker import drain
from shop.refusal import Refused
from tests.factories import NOON, ContactFactory
from tests.inquiries.papers.conftest import DAY, made, paid
from tests.inquiries.steps import entry, fresh, opened
from tests.support.papers import Paper


def invoice(sale: Sale, **options: Any) -> IssuedPaper:
    """An invoice of a sale."""
    return issue_paper("invoice", sale, **{"entry": entry(), "by": None, "at": NOON} | options)


def rolled_back(sale: Sale) -> None:
    """An invoice issued in a deed that comes to nothing."""
    with transaction.atomic():
        invoice(sale)
        transaction.set_rollback(True)


def test_numbers_run_on_for_each_kind_and_year(sale: Sale) -> None:
    others = [opened(), opened()]
    assert [invoice(one).number for one in (sale, *others)] == ["I2026-0001", "I2026-0002", "I2026-0003"]
    assert issue_paper("bill", paid(sale), entry=entry(), by=None, at=NOON).number == "B2026-0001"
    later = invoice(opened(), at=NOON + 300 * DAY)
    assert later.number == "I2027-0001"


def test_a_deed_that_is_rolled_back_leaves_no_gap(sale: Sale) -> None:
    rolled_back(sale)
    with pytest.raises(Refused):
        issue_paper("bill", sale, entry=entry(), by=None, at=NOON)
    assert invoice(sale).number == "I2026-0001"
    assert issue_paper("bill", paid(sale), entry=entry(), by=None, at=NOON).number == "B2026-0001"


def test_two_presses_are_one_paper(sale: Sale) -> None:
    press = entry()
    assert invoice(sale, entry=press) == invoice(sale, entry=press)
    assert made().count() == 1


def test_a_second_paper_of_a_kind_is_a_version_of_the_first(sale: Sale) -> None:
    invoice(sale)
    with pytest.raises(Refused, match="Invoice I2026-0001 is there already"):
        invoice(sale)
    with pytest.raises(IntegrityError), transaction.atomic():
        IssuedPaper.objects.create(
            kind="invoice", number="I2026-0099", instrument=sale.instrument, sale=sale, content={},
            sha256="x", entry=entry(), at=NOON,
        )  # fmt: skip


def test_a_new_version_names_what_it_replaces_and_why_and_both_are_kept(sale: Sale) -> None:
    first = invoice(sale)
    old = bytes_of(first, at=NOON)
    second = invoice(sale, cancels=1, reason="The address was wrong", at=NOON + DAY)
    assert (second.number, second.version, second.cancels) == (first.number, 2, first)
    read = Paper(bytes_of(second, at=NOON + DAY))
    assert (
        "Replaces version 1 of invoice I2026-0001, of 10 June 2026, because: The address was wrong."
        in read.text
    )
    assert "Invoice I2026-0001, version 2" in read.text
    assert bytes_of(first, at=NOON + DAY) == old, "the first says nothing new"
    assert first.cancelled_by == second


def test_a_new_version_needs_its_reason_and_the_latest_before_it(sale: Sale) -> None:
    invoice(sale)
    with pytest.raises(Refused, match="Write why"):
        invoice(sale, cancels=1, reason=" ")
    invoice(sale, cancels=1, reason="x")
    with pytest.raises(Refused, match="Version 2 of it was made meanwhile"):
        invoice(sale, cancels=1, reason="y")
    with pytest.raises(Refused, match="no version to replace"):
        issue_paper("bill", paid(sale), entry=entry(), by=None, at=NOON, cancels=1, reason="x")


def test_what_stands_on_it_is_frozen_with_its_hash(sale: Sale) -> None:
    paper = invoice(sale)
    type(sale.contact).objects.update(name="Somebody Else")
    kept = made().get()
    assert kept.sha256 == hashlib.sha256(canonical(kept.content).encode()).hexdigest() == paper.sha256
    assert kept.content["to"]["name"] == "Cole Withers"
    assert "Cole Withers" in Paper(bytes_of(kept, at=NOON)).text
    with pytest.raises(FactIsFixed):
        kept.delete()
    with pytest.raises(DatabaseError), transaction.atomic():
        IssuedPaper._base_manager.update(number="x")


@pytest.mark.parametrize(
    ("content", "written"),
    [
        ({"b": 1, "a": ["é", None, True]}, '{"a":["é",null,true],"b":1}'),
        ({"a": {"d": "”", "c": ""}}, '{"a":{"c":"","d":"”"}}'),
    ],
)
def test_a_content_is_written_down_in_one_way(content: Any, written: str) -> None:
    """RFC 8785, sections 3.2.1 to 3.2.3: nothing between the signs, keys in order, letters as themselves."""
    assert canonical(content) == written
    assert canonical(json.loads(written)) == written
    assert digest(content) == hashlib.sha256(written.encode()).hexdigest()


def test_a_file_is_named_by_number_version_and_content() -> None:
    assert file_name("I2026-0001", 1, "ab" * 32) == "i2026-0001-abababababababab.pdf"
    assert file_name("I2026-0001", 2, "ab" * 32) == "i2026-0001-v2-abababababababab.pdf"


def test_history_says_which_paper_was_made(sale: Sale) -> None:
    invoice(sale)
    invoice(sale, cancels=1, reason="x")
    verbs = Entry.objects.filter(about="sale", field="Invoice").order_by("pk").values_list("verb", "new")
    assert list(verbs) == [
        ("paper made", "Invoice I2026-0001"),
        ("paper made anew", "Invoice I2026-0001, version 2"),
    ]


def test_the_worker_makes_each_file_once(sale: Sale, kept_in: Path) -> None:
    paper = invoice(sale)
    assert not PaperFile.objects.exists()
    drain()
    assert PaperFile.objects.filter(paper=paper).count() == 1
    assert PaperFile.objects.filter(paper__kind="receipt").count() == 1
    assert sorted(path.name for path in kept_in.iterdir()) == sorted(
        PaperFile.objects.values_list("name", flat=True)
    )


def test_a_later_look_serves_what_was_kept(
    sale: Sale, kept_in: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    paper = invoice(sale)
    made = bytes_of(paper, at=NOON)
    monkeypatch.setattr(filing, "pdf", lambda template, data: pytest.fail("made a second time"))
    assert bytes_of(paper, at=NOON) == made
    assert file_of(paper, at=NOON).sha256 == hashlib.sha256(made).hexdigest()


def test_a_file_that_was_changed_or_is_gone_is_told_and_not_made_anew(sale: Sale, kept_in: Path) -> None:
    paper = invoice(sale)
    bytes_of(paper, at=NOON)
    path = kept_in / file_of(paper, at=NOON).name
    path.write_bytes(path.read_bytes() + b" ")
    with pytest.raises(Refused, match="its hash differs"):
        bytes_of(paper, at=NOON)
    path.unlink()
    with pytest.raises(Refused, match="no longer there"):
        bytes_of(paper, at=NOON)
    assert list(kept_in.iterdir()) == []


def test_what_was_broken_off_between_file_and_row_is_completed(
    sale: Sale, kept_in: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def killed(row: PaperFile, **_: object) -> None:
        raise RuntimeError

    paper = invoice(sale)
    monkeypatch.setattr(PaperFile, "save", killed)
    with pytest.raises(RuntimeError):
        file_of(paper, at=NOON)
    monkeypatch.undo()
    monkeypatch.setattr(settings, "PAPERS_DIR", kept_in)
    (left,) = kept_in.iterdir()
    made = left.read_bytes()
    assert bytes_of(paper, at=NOON) == made
    assert [path.name for path in kept_in.iterdir()] == [left.name] == [PaperFile.objects.get().name]


def test_what_was_broken_off_while_it_was_written_is_cleared_away(sale: Sale, kept_in: Path) -> None:
    paper = invoice(sale)
    name = file_name(paper.number, 1, paper.sha256)
    kept_in.mkdir()
    (kept_in / f"{name}.k7.part").write_bytes(b"%PDF-half")
    assert bytes_of(paper, at=NOON).startswith(b"%PDF-")
    assert [path.name for path in kept_in.iterdir()] == [name]


def test_a_paper_goes_with_the_sale_when_two_contacts_turn_out_to_be_one(sale: Sale) -> None:
    paper = issue_paper(
        "quotation",
        sale.inquiry,
        entry=entry(),
        by=None,
        at=NOON,
        given={"price": sale.rows.get(kind="price").amount, "shipping": 0, "until": (NOON + DAY).date()},
    )
    kept = ContactFactory()
    merge(kept, sale.contact, by=None, at=NOON)
    assert IssuedPaper.objects.get(inquiry__contact=kept) == paper
    actions.reverse_row(fresh(sale).rows.get(kind="shipping"), reason="x", by=None, at=NOON)
    assert invoice(fresh(sale)).content["to"]["name"] == kept.name
