"""Tax in the double entry: what is owed once a sale has closed, and that nothing is left of a sale that is off."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client

from catalog.models import Acquisition, Cost
from inquiries.models import Contact, Posting, Sale, Shipment
from inquiries.people.erase_actions import erase
from inquiries.review.tax_owed import tax_owed
from inquiries.sales.actions import close_sale, deliver, end_without_sale, reverse_row, ship
from inquiries.sales.posting_rules import from_minor
from inquiries.sales.proof import unbalanced
from inquiries.sales.queries import facts_of, of_kinds
from inquiries.stockbook.proof import proved
from inquiries.stockbook.queries import book
from inquiries.tax.booking import book_tax
from inquiries.tax.queries import tax_on
from inquiries.tax.rules import There
from shop.models import ShopProfile
from shop.money import Money
from shop.refusal import Refused
from tests.factories import NOON, ContactFactory, InstrumentFactory, OwnerFactory
from tests.inquiries.steps import back, delivered, fresh, opened, received, settle
from tests.inquiries.tax.test_pages import page, policy, rate

START = date(2026, 1, 1)
LATER = NOON + timedelta(days=5)


@pytest.fixture
def vermont(profile: ShopProfile) -> ShopProfile:
    profile.address, profile.country = "1 Quarry Road\nRutland, VT 05701", "US"
    profile.save()
    return profile


def owed(sale: Sale) -> Decimal:
    """What the account of tax owes, in units."""
    minor = sum(
        posting.minor if posting.credit == "tax" else -posting.minor
        for posting in Posting.objects.filter(sale=sale)
        if "tax" in (posting.debit, posting.credit)
    )
    return from_minor(minor, sale.currency)


def bought(sale: Sale, amount: str, **given: object) -> None:
    Acquisition.objects.create(
        instrument=sale.instrument, how="bought", seller="Orrin Pell", on=START, **given
    )
    Cost.objects.create(
        instrument=sale.instrument, kind="purchase", amount=Decimal(amount), currency=sale.currency,
        on=START, at=NOON,
    )  # fmt: skip


def close(sale: Sale) -> Sale:
    return fresh(close_sale(fresh(sale), by=None, at=LATER))


@pytest.mark.parametrize(
    ("scheme", "percent", "paid", "price", "with_vat", "expected"),
    [
        ("vat-margin", "15", "60.00", "100.00", False, "5.22"),  # 40 × 15 ÷ 115 = 5.217…, never 6.00
        ("vat-margin", "20", "1500.00", "2000.00", False, "83.33"),  # GOV.UK, VAT margin schemes
        ("vat-margin", "20", "900.00", "700.00", False, "0"),  # a loss is taxed with nothing
        ("vat-margin", "20", "900.00", "1200.00", True, "200.00"),  # bought with VAT: on the whole price
        ("vat-normal", "19", "810.00", "1190.00", False, "190.00"),
        ("none", "19", "810.00", "1190.00", False, "0"),
    ],
)
def test_what_lies_inside_the_price_is_owed_when_the_sale_closes(
    vermont: ShopProfile, scheme: str, percent: str, paid: str, price: str, with_vat: bool, expected: str
) -> None:
    rate(percent), policy(scheme)
    sale = delivered(
        opened(price=price, deposit="10.00", contact=ContactFactory(address="4 Mill Lane\nStowe, VT 05401")),
        at=NOON,
    )
    bought(sale, paid, vat_charged=with_vat)
    assert owed(sale) == 0, "nothing is owed before the sale closes"
    assert owed(close(sale)) == Decimal(expected)
    assert facts_of(fresh(sale)).charged == Decimal(price), "and nobody is charged for it"


def test_the_page_says_when_it_was_booked_and_keeps_the_margin_private(
    owners: Client, helpers: Client, vermont: ShopProfile
) -> None:
    rate("15"), policy("vat-margin")
    sale = delivered(opened(price="100.00", deposit="10.00"), at=NOON)
    bought(sale, "60.00")
    assert "Nothing is booked yet." in page(owners, sale)
    close(sale)
    text = page(owners, sale)
    assert "5.22</span>, taken out of the price when the sale closed" in text
    assert "would be" not in text
    assert "5.22" not in page(helpers, sale)


def test_a_cost_written_down_later_is_pointed_out_and_changes_nothing(
    owners: Client, vermont: ShopProfile
) -> None:
    rate("15"), policy("vat-margin")
    sale = delivered(opened(price="100.00", deposit="10.00"), at=NOON)
    bought(sale, "60.00")
    close(sale)
    Cost.objects.create(
        instrument=sale.instrument, kind="purchase", amount=10, currency="USD", on=START, at=LATER
    )
    text = page(owners, sale)
    assert 'By what is written down now the tax would be <span class="figures">$3.91</span>' in text
    assert owed(sale) == Decimal("5.22")


def taxed() -> Sale:
    buyer = ContactFactory(address="4 Mill Lane\nBurlington, VT 05401", country="US")
    return opened(price="1000.00", deposit="200.00", contact=buyer)


def test_tax_on_top_is_owed_once_and_a_reversal_of_it_leaves_nothing(
    owners: Client, vermont: ShopProfile
) -> None:
    rate(), policy()
    sale = taxed()
    assert owed(sale) == 60
    reverse_row(sale.rows.get(kind="tax"), reason="Typed twice", by=None, at=NOON)
    assert owed(sale) == 0
    Contact.objects.update(resale_certificate="")
    book_tax(fresh(sale), by=None, at=NOON)
    assert owed(sale) == 60
    text = page(owners, sale)
    assert text.count("charged to the buyer") == 2
    assert text.count(", reversed<") == 1


@pytest.mark.parametrize(
    ("scheme", "currency", "percent", "price", "paid", "expected"),
    [
        (
            "sales-tax",
            "JPY",
            "0.5",
            "99",
            "60",
            "0",
        ),  # 0.495: to hundredths first it would be 0.50, and then 1
        ("sales-tax", "JPY", "6.5", "10010", "60", "651"),  # 650.65
        ("sales-tax", "KWD", "6", "1000.123", "60", "60.007"),  # 60.00738
        ("vat-normal", "JPY", "10", "1000", "60", "91"),  # 90.909…
        ("vat-normal", "KWD", "5", "100.005", "60", "4.762"),  # 4.76214…
        ("vat-margin", "JPY", "11", "105", "100", "0"),  # 0.4954…: the same
        ("vat-margin", "KWD", "15", "100.125", "60", "5.234"),  # 40.125 × 15 ÷ 115 = 5.23369…
        ("vat-margin", "RSD", "15", "100.00", "60", "5.22"),  # two decimals by ISO 4217, none by CLDR
    ],
)
def test_a_tax_is_booked_as_it_was_rounded_once_in_the_currency_of_the_sale(
    owners: Client, vermont: ShopProfile, scheme: str, currency: str, percent: str, price: str, paid: str,
    expected: str,
) -> None:  # fmt: skip
    rate(percent), policy(scheme)
    buyer = ContactFactory(address="4 Mill Lane\nBurlington, VT 05401", country="US")
    piece = InstrumentFactory(listed=True, currency=currency)
    sale = opened(price=price, deposit="10", contact=buyer, instrument=piece)
    bought(sale, paid)
    page(owners, sale)
    if scheme == "sales-tax" and not Decimal(expected):
        with pytest.raises(Refused, match="no tax to book"):
            book_tax(sale, by=None, at=NOON)
    sale = close(delivered(sale, at=NOON))
    assert str(owed(sale)) == str(Money(Decimal(expected), currency).amount)
    booked = Decimal(expected) if scheme == "sales-tax" else Decimal(0)
    assert of_kinds(sale.rows.all(), {"tax"}) == booked
    assert [row.tax_booking.whole for row in sale.rows.filter(kind="tax")] == [booked] * bool(booked)
    assert unbalanced() == []
    found = tax_owed(LATER - timedelta(days=1), LATER + timedelta(days=1), vermont)
    assert (found.different, found.untold) == ([], [])
    assert found.sums == found.by_accounts == ({currency: owed(sale)} if owed(sale) else {})


@pytest.mark.parametrize("scheme", ["sales-tax", "vat-normal", "vat-margin"])
def test_a_sale_that_is_off_leaves_no_tax_owed(vermont: ShopProfile, scheme: str) -> None:
    rate(), policy(scheme)
    off = taxed()
    end_without_sale(off, reason="x", money=None, by=None, at=NOON)
    returned = back(delivered(taxed(), at=NOON), at=NOON + timedelta(hours=2))
    paid = received(str(facts_of(returned).paid))
    end_without_sale(returned, reason="x", money=paid, by=None, at=LATER)
    assert (owed(off), owed(returned)) == (0, 0)


def test_a_closed_sale_of_a_consigned_piece_books_no_tax_on_a_margin(vermont: ShopProfile) -> None:
    rate(), policy("vat-margin")
    sale = delivered(opened(price="1000.00", deposit="200.00"), at=NOON)
    Acquisition.objects.create(
        instrument=sale.instrument, how="consigned", seller="O. Pell", on=START, commission_percent=20
    )
    assert owed(close(sale)) == 0


def went(sale: Sale, address: str, country: str = "US", carrier: str = "Mule Train") -> Sale:
    """Paid, and gone to an address."""
    by_hand = {} if carrier else {"collected_by": "Orrin Pell", "identity": "Passport"}
    shipment = Shipment(
        carrier=carrier, address=address, country=country, unpictured_reason="No camera", **by_hand
    )
    ship(settle(sale, at=NOON), shipment, by=None, at=NOON)
    return fresh(sale)


@pytest.mark.parametrize(
    ("address", "country", "carrier", "expected", "said"),
    [
        ("1 Quay\nStowe, VT 05672", "US", "Mule Train", "60.00", There.SENT),
        ("1 Quay\nHarbor, NY 10001", "US", "Mule Train", "80.00", There.SENT),
        ("1 Quay\nHarbor, NY 10001\nUSA", "US", "Mule Train", "80.00", There.SENT),
        ("1 Quai\nMarseille", "FR", "Mule Train", "0", There.SENT),
        ("1 Quay, Harbor", "US", "Mule Train", "60.00", There.UNREAD),
        ("", "", "Mule Train", "60.00", There.SENT),  # the buyer's, as written on the parcel
        ("1 Quay\nHarbor, NY 10001", "US", "", "60.00", "handed over in the shop"),
    ],
)
def test_a_sale_is_taxed_where_its_parcel_went(
    vermont: ShopProfile, address: str, country: str, carrier: str, expected: str, said: str
) -> None:
    rate("6"), rate("8", jurisdiction="The other state", state="NY"), policy()
    sale = taxed()
    assert owed(sale) == 60, "until a parcel has gone it is the buyer's address"
    found = tax_on(went(sale, address, country, carrier), vermont, at=NOON)
    assert found is not None
    asked, _, reckoned = found
    assert reckoned.tax == Decimal(expected)
    assert said in " ".join(reckoned.why)
    assert asked.handed_over is not bool(carrier)


@pytest.mark.parametrize("scheme", ["sales-tax", "vat-normal", "vat-margin"])
@pytest.mark.parametrize(
    ("address", "country"), [("1 Quai\nMarseille", "FR"), ("1 Quay\nStowe, VT 05672", "US")]
)
def test_a_buyer_who_moves_or_is_erased_changes_no_tax_of_what_was_sold(
    vermont: ShopProfile, scheme: str, address: str, country: str
) -> None:
    rate("20"), policy(scheme)
    sale = opened(price="1000.00", deposit="200.00", contact=ContactFactory(address=address, country=country))
    bought(sale, "400.00")
    went(sale, "", "")
    deliver(fresh(sale), delivered_at=NOON, note="", by=None, at=NOON)
    close(sale)
    span = (LATER - timedelta(days=1), LATER + timedelta(days=1), vermont)
    before = tax_owed(*span), line_of_book(vermont)
    Contact.objects.filter(pk=sale.contact_id).update(address="4 Lane\nHarbor, NY 10001", country="DE")
    assert (tax_owed(*span), line_of_book(vermont)) == before
    erase(sale.contact, by=OwnerFactory(), at=LATER)
    assert (tax_owed(*span), line_of_book(vermont)) == before
    assert before[0].different == []


def line_of_book(shop: ShopProfile) -> list[object]:
    """The figures of the book in both ways, which are the same."""
    lines = [(line.purchase, line.selling, line.margin, line.vat) for line in book(shop)[0]]
    assert lines == [(row.purchase, row.selling, row.margin, row.vat) for row in proved(shop)]
    return [*lines]
