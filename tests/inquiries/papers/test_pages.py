"""Papers at the desk: made by a press, made anew with a reason, handed out; the statement for the owner alone."""

import re
from pathlib import Path

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import Acquisition
from inquiries.models import PaperFile, Sale
from inquiries.papers.filing import bytes_of
from inquiries.papers.issuing import issue_paper
from inquiries.sales import actions
from shop.models import ShopProfile
from tests.factories import NOON
from tests.inquiries.papers.conftest import DAY, made, more_money, parcelled
from tests.inquiries.steps import MINUTE, entry, fresh


def press(client: Client, sale: Sale, kind: str = "invoice", **typed: str) -> str:
    """The page after a press."""
    address = (
        reverse("statement-make", args=[sale.number])
        if kind == "statement"
        else reverse("paper-make", args=[sale.number, kind])
    )
    return client.post(address, {"entry": entry(), **typed}, follow=True).content.decode()


def test_a_press_makes_a_paper_and_a_second_with_a_reason_its_next_version(
    helpers: Client, sale: Sale
) -> None:
    assert "Invoice I2026-0001 is made." in press(helpers, sale)
    page = press(helpers, sale, cancels="1")
    assert "Nothing was saved yet" in page
    assert made().count() == 1
    page = press(helpers, sale, cancels="1", reason="The address was wrong")
    assert "version 2" in page
    assert "Cancelled by version 2: The address was wrong" in page
    for paper in made():
        assert paper.sha256[:12] in page


def test_a_press_sent_again_after_the_first_was_answered_makes_nothing_and_refuses_nothing(
    helpers: Client, sale: Sale
) -> None:
    typed = {"entry": entry()}
    address = reverse("paper-make", args=[sale.number, "invoice"])
    assert [helpers.post(address, typed).status_code for _ in range(2)] == [302, 302]
    assert made().count() == 1


def test_a_refused_press_says_why_and_keeps_what_was_typed(helpers: Client, sale: Sale) -> None:
    assert "$10,150 is still owed." in press(helpers, sale, "bill")
    type(sale.contact).objects.update(country="DE")
    type(sale.instrument).objects.update(made="c. 1928", made_edtf="1928~")
    page = press(helpers, sale, "customs", export="Sale on approval", origin="US", code="")
    assert "Ask the authority, and choose the code here." in page
    assert re.search(r'<option value="Sale on approval" selected', page)
    assert re.search(r'<option value="US" selected', page)


CUSTOMS = {"export": "Sale", "origin": "US"}


def test_the_goods_say_which_code_is_theirs_and_one_of_other_goods_is_refused_with_what_was_typed(
    helpers: Client, sale: Sale
) -> None:
    type(sale.contact).objects.update(country="GB")
    type(sale.instrument).objects.update(made="c. 1928", made_edtf="1928~")
    page = press(helpers, sale, "customs", **CUSTOMS, goods="electric", code="9202.90")
    assert "9202.90 is no code that the rules give for these goods, made when they were." in page
    assert re.search(r'<option value="electric" selected', page)
    assert re.search(r'<option value="9207.90"', page)
    type(sale.instrument).objects.update(made="1954", made_edtf="1954")
    page = press(helpers, sale, "customs", **CUSTOMS, goods="electric", code="9202.90")
    assert "They give 9207.90." in page
    assert not made().exists()
    page = press(helpers, sale, "customs", **CUSTOMS, goods="electric")
    assert "Commercial invoice C2026-0001 is made." in page


def test_a_paper_for_customs_is_offered_where_there_is_customs(helpers: Client, sale: Sale) -> None:
    def offered() -> bool:
        page = helpers.get(reverse("sale", args=[sale.number])).content.decode()
        return reverse("paper-make", args=[sale.number, "customs"]) in page

    for home, there, expected in [
        ("US", "US", False),
        ("US", "FR", True),
        ("DE", "FR", False),
        ("DE", "CH", True),
    ]:
        ShopProfile.objects.update(country=home)
        type(sale.contact).objects.update(country=there)
        assert offered() is expected, (home, there)
    parcelled(sale)
    type(sale.contact).objects.update(country="FR")
    assert offered(), "the parcel went to Switzerland before the buyer moved"


def test_a_customs_paper_is_offered_by_where_the_parcel_goes(helpers: Client, sale: Sale) -> None:
    page, offer = reverse("sale", args=[sale.number]), 'id="paper-customs"'
    assert offer not in helpers.get(page).content.decode()
    parcelled(sale, address="Lindenweg 3\n37073 Göttingen", country="DE")
    assert offer in helpers.get(page).content.decode()


def test_signs_without_type_are_named_on_the_page_and_refuse_nothing(helpers: Client, sale: Sale) -> None:
    page = reverse("sale", args=[sale.number])
    assert "There is no type here" not in helpers.get(page).content.decode()
    type(sale.contact).objects.update(name="田中")
    more_money(fresh(sale), "1000.00")
    told = (
        "There is no type here for 中 田: on the paper stands □ instead. Write the name in Latin letters too"
    )
    assert told in helpers.get(page).content.decode(), "the receipt that came with the money"
    answer = press(helpers, sale)
    assert "Invoice I2026-0001 is made." in answer
    assert answer.count(told) == 3, "the warning, the invoice, and the receipt"


def test_a_paper_is_handed_out_as_it_was_made(helpers: Client, client: Client, sale: Sale) -> None:
    press(helpers, sale)
    address = reverse("issued-paper", args=["I2026-0001", 1])
    answer = helpers.get(address)
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="Invoice I2026-0001.pdf"'
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "no-store" in answer["Cache-Control"]
    assert answer.content == bytes_of(made().get(), at=NOON)
    assert client.get(address)["Location"].startswith("/desk/log-in/")
    assert helpers.get(reverse("issued-paper", args=["I2026-0001", 2])).status_code == 404


def test_a_file_that_differs_is_told_on_the_page_of_the_sale(
    helpers: Client, sale: Sale, kept_in: Path
) -> None:
    press(helpers, sale)
    bytes_of(made().get(), at=NOON)
    (kept_in / PaperFile.objects.get().name).write_bytes(b"%PDF-other")
    page = helpers.get(reverse("issued-paper", args=["I2026-0001", 1]), follow=True).content.decode()
    assert "its hash differs" in page


def test_a_quotation_is_made_in_the_thread_and_needs_no_sale(helpers: Client, sale: Sale) -> None:
    thread = sale.inquiry
    typed = {"price": "12,000", "shipping": "", "until": f"{(NOON + DAY).date()}", "word": "x"}
    address = reverse("quotation-make", args=[thread.pk])
    page = helpers.post(address, {"entry": entry(), **typed}, follow=True).content.decode()
    assert "Quotation Q2026-0001 is made." in page
    assert made().get().sale is None
    wrong = typed | {"price": "12.0000", "cancels": "1", "reason": "x"}
    page = helpers.post(address, {"entry": entry(), **wrong}, follow=True).content.decode()
    assert 'value="12.0000"' in page
    assert made().count() == 1


@pytest.fixture
def consigned(sale: Sale) -> Sale:
    """A closed sale of a piece that was on consignment."""
    Acquisition.objects.create(
        instrument=sale.instrument,
        how="consigned",
        seller="Mara Ellwood",
        seller_contact="3 Quarry Lane",
        on=NOON.date(),
        commission_percent=20,
    )
    sent = parcelled(sale)
    actions.deliver(sent, delivered_at=NOON + MINUTE, note="", by=None, at=NOON + MINUTE)
    return actions.close_sale(fresh(sent), by=None, at=NOON + 4 * DAY)


def test_the_statement_is_the_owners_alone(owners: Client, helpers: Client, consigned: Sale) -> None:
    assert "Consignor’s statement S2026-0001 is made." in press(owners, consigned, "statement")
    paper = made().get()
    assert paper.content["to"]["name"] == "Mara Ellwood"
    assert ["Your share", "$10,000"] in paper.content["sums"]
    mine, theirs = (reverse(name, args=["S2026-0001", 1]) for name in ("issued-statement", "issued-paper"))
    assert owners.get(mine).status_code == 200
    assert helpers.get(mine).status_code == 403
    assert helpers.get(theirs).status_code == 404
    assert helpers.post(reverse("statement-make", args=[consigned.number])).status_code == 403
    assert helpers.post(reverse("paper-make", args=[consigned.number, "statement"])).status_code == 404
    page = helpers.get(reverse("sale", args=[consigned.number])).content.decode()
    assert 'id="paper-statement"' not in page
    assert "Mara Ellwood" not in page


def test_no_buyer_stands_on_a_statement_and_no_consignor_on_an_invoice(consigned: Sale) -> None:
    statement = issue_paper("statement", consigned, entry=entry(), by=None, at=NOON + 4 * DAY)
    invoice = issue_paper("invoice", consigned, entry=entry(), by=None, at=NOON + 4 * DAY)
    assert "Cole Withers" not in str(statement.content)
    assert "Ellwood" not in str(invoice.content)


def test_the_page_of_a_sale_asks_as_often_with_one_paper_as_with_many(owners: Client, sale: Sale) -> None:
    address = reverse("sale", args=[sale.number])
    issue_paper("invoice", sale, entry=entry(), by=None, at=NOON)
    owners.get(address)
    with CaptureQueriesContext(connection) as few:
        owners.get(address)
    for version in range(1, 6):
        issue_paper("invoice", sale, entry=entry(), by=None, at=NOON, cancels=version, reason="x")
    with CaptureQueriesContext(connection) as many:
        owners.get(address)
    assert len(many) == len(few)
