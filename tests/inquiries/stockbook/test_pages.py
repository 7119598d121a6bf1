"""The stock book as the owner sees it, and as a file."""

import csv
from datetime import date
from decimal import Decimal
from io import StringIO

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.models import Acquisition, Cost, Instrument
from inquiries.models import Sale, TaxPolicy, TaxRate
from inquiries.stockbook.queries import book
from shop.models import ShopProfile
from tests.factories import NOON, InstrumentFactory
from tests.inquiries.steps import closed

FIRST = date(2026, 1, 1)


def bring_in(instrument: Instrument, amount: str = "1500.00", how: str = "bought") -> None:
    Acquisition.objects.create(
        instrument=instrument, how=how, seller="=Orrin Pell", on=FIRST, invoice_number="R-17",
        commission_percent=Decimal(20) if how == "consigned" else None,
    )  # fmt: skip
    for kind, paid in (("purchase", amount), ("repair", "77.77")):
        Cost.objects.create(
            instrument=instrument,
            kind=kind,
            amount=Decimal(paid),
            currency="USD",
            on=FIRST,
            note="Note 12",
            at=NOON,
        )


def sold() -> Sale:
    """A piece that was bought, and its sale that closed."""
    piece = InstrumentFactory(listed=True)
    bring_in(piece)
    return closed(price="2000.00", deposit="200.00", instrument=piece)


@pytest.fixture
def scheme(profile: ShopProfile) -> ShopProfile:
    profile.address = "1 Quarry Road\nRutland, VT 05701"
    profile.save()
    TaxPolicy.objects.create(starts=FIRST, scheme="vat-margin", at=NOON)
    TaxRate.objects.create(
        jurisdiction="One", country="US", percent=20, starts=FIRST, source="A notice", at=NOON
    )
    return profile


def rows(browser: Client) -> list[list[str]]:
    return list(csv.reader(StringIO(browser.get(reverse("stock-book-csv")).text)))


def test_a_sold_piece_has_every_column(owners: Client, scheme: ShopProfile) -> None:
    sale = sold()
    head, line, *_ = rows(owners)
    assert dict(zip(head, line, strict=True)) == {
        "Stock number": str(sale.instrument.stock_id),
        "Date of purchase": "2026-01-01",
        "Purchase invoice": "R-17",
        "Note on the purchase": "Note 12",
        "Purchase price": "1500.00",
        "Seller": "'=Orrin Pell",
        "Description": sale.instrument.title,
        "Date of sale": "2026-06-10",
        "Sale": sale.number,
        "Selling price or how disposed of": "2000.00",
        "Buyer": sale.contact.name,
        "Margin": "500.00",
        "Rate, per cent": "20",
        "VAT due": "83.33",
        "Currency": "USD",
        "Remark": "",
    }
    text = owners.get(reverse("stock-book")).text
    for part in (
        "$83.33",
        "$500",
        reverse("sale", args=[sale.number]),
        reverse("costs", args=[sale.instrument.stock_id]),
    ):
        assert part in text


def test_consigned_pieces_stand_apart_and_what_names_no_seller_is_said(
    owners: Client, scheme: ShopProfile
) -> None:
    ours, theirs, nobodys = (InstrumentFactory(listed=True) for _ in range(3))
    bring_in(ours)
    bring_in(theirs, how="consigned")
    bought, consigned, unnamed = book(scheme)
    assert [line.item.stock for line in bought] == [ours.stock_id]
    assert [line.item.stock for line in consigned] == [theirs.stock_id]
    assert [item.stock for item in unnamed] == [nobodys.stock_id]
    text = owners.get(reverse("stock-book")).text
    assert text.index("not the shop’s own stock") < text.index(reverse("record", args=[theirs.stock_id]))
    assert "No seller is written down yet" in text


def test_without_a_policy_there_is_a_margin_and_no_tax(owners: Client, profile: ShopProfile) -> None:
    sold()
    line = rows(owners)[1]
    assert line[11:] == ["500.00", "", "", "USD", "The shop had no tax policy on the day of the sale."]


def test_a_piece_bought_with_vat_says_why_there_is_none_on_its_margin(
    owners: Client, scheme: ShopProfile
) -> None:
    sold()
    Acquisition.objects.update(vat_charged=True)
    why = "The seller charged VAT on it, so it is not in the margin scheme: normal VAT is due on its price."
    assert rows(owners)[1][11:] == ["500.00", "", "", "USD", why]
    assert why in owners.get(reverse("stock-book")).text


def test_a_withdrawn_piece_says_how_it_was_disposed_of(owners: Client, scheme: ShopProfile) -> None:
    piece = InstrumentFactory(listed=True)
    bring_in(piece)
    Instrument.objects.filter(pk=piece.pk).update(state="withdrawn")
    assert rows(owners)[1][9] == "Withdrawn"


def test_the_book_asks_the_same_number_of_questions_for_one_piece_as_for_many(
    owners: Client, scheme: ShopProfile, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for many in range(1, 3):
        sold()
        with django_assert_num_queries(6):
            book(scheme)
        assert len(book(scheme)[0]) == many
