"""The stock book reckoned in Python and by the database: exactly the same, over made-up sales."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog.models import Acquisition, Cost
from inquiries.models import LedgerRow, Sale, Shipment, TaxPolicy, TaxRate
from inquiries.stockbook.proof import proved
from inquiries.stockbook.queries import book
from shop.models import ShopProfile
from shop.money import minor_units
from tests.factories import NOON, ContactFactory, InquiryFactory, InstrumentFactory, ShopFactory

DAY = timedelta(days=1)
FIRST = date(2026, 1, 1)
Kind = LedgerRow.Kind


@dataclass(frozen=True)
class Made:
    """A piece bought and sold. Amounts are in minor units."""

    costs: list[tuple[str, str, int]]
    charges: list[tuple[str, int]]
    reversed_first: bool
    ended: int
    country: str
    carrier: str
    how: str
    invoice: str = ""
    with_vat: bool = False
    sold_in: str = "USD"
    sent_to: str = ""


cents = st.integers(1, 99_999_999)
day = st.integers(0, 60)
pieces = st.builds(
    Made,
    costs=st.lists(
        st.tuples(
            st.sampled_from(["purchase", "purchase", "repair", "shipping-in"]),
            st.sampled_from(["USD", "USD", "USD", "EUR", "JPY", "RSD"]),
            cents | cents.map(lambda amount: -amount),
        ),
        max_size=3,
    ),
    charges=st.lists(st.tuples(st.sampled_from([Kind.PRICE, Kind.SHIPPING, Kind.CREDIT]), cents), max_size=3),
    reversed_first=st.booleans(),
    ended=day,
    country=st.sampled_from(["", "US", "FR", "DE"]),
    carrier=st.sampled_from(["", "Mule Train"]),
    sent_to=st.sampled_from(["", "US", "FR", "DE"]),
    how=st.sampled_from(["bought", "bought", "bought", "consigned"]),
    invoice=st.sampled_from(["", "R-17", "2026/3"]),
    with_vat=st.sampled_from([False, False, True]),
    sold_in=st.sampled_from(["USD", "USD", "JPY", "KWD", "RSD"]),
)
policies = st.lists(
    st.tuples(
        day,
        st.sampled_from(["vat-margin", "vat-margin", "vat-margin", "sales-tax", "none"]),
        st.booleans(),
        st.sampled_from(["", "FR", "FR DE"]),
    ),
    min_size=1,
    max_size=3,
)
rates = st.lists(
    st.tuples(
        st.sampled_from(["One", "one", "Two"]),
        day,
        st.integers(0, 1_000_000),
        st.sampled_from([("", ""), ("VT", ""), ("VT", "057"), ("VT", "054"), ("OH", "")]),
    ),
    max_size=5,
)


def make(number: int, made: Made) -> None:
    """One piece with its rows."""
    piece = InstrumentFactory(sold=True)
    share = Decimal(20) if made.how == "consigned" else None
    Acquisition.objects.create(
        instrument=piece,
        how=made.how,
        seller="Orrin Pell",
        on=FIRST,
        commission_percent=share,
        invoice_number=made.invoice,
        vat_charged=made.with_vat,
    )
    for kind, code, amount in made.costs:
        # A cost is kept with two decimals. What is typed as dollars was paid in the currency of the sale.
        currency = made.sold_in if code == "USD" else code
        value = Decimal(amount).scaleb(-min(minor_units(currency), 2))
        Cost.objects.create(instrument=piece, kind=kind, currency=currency, amount=value, on=FIRST, at=NOON)
    buyer = ContactFactory(country=made.country)
    # 22 o'clock at the shop is the next day in Greenwich.
    ended = NOON.replace(year=2026, month=1, day=1, hour=3) + made.ended * DAY
    sale = Sale.objects.create(
        number=f"T-{number}",
        instrument=piece,
        inquiry=InquiryFactory(instrument=piece, contact=buyer),
        contact=buyer,
        currency=made.sold_in,
        approval_hours=48,
        opened_at=ended - DAY,
        ended_at=ended,
        outcome="closed",
    )
    rows = [charge(sale, kind, amount, place) for place, (kind, amount) in enumerate(made.charges)]
    if made.reversed_first and rows:
        charge(sale, Kind.REVERSAL, 0, 99, reverses=rows[0])
    charge(sale, Kind.PAYMENT, 12_345, 98, method="cash")
    Shipment.objects.create(
        sale=sale, carrier=made.carrier, country=made.sent_to, currency=made.sold_in, at=ended - DAY
    )


def charge(
    sale: Sale, kind: str, amount: int, place: int, *, reverses: LedgerRow | None = None, method: str = ""
) -> LedgerRow:
    """One row, with the sign of its kind."""
    value = Decimal(amount).scaleb(-minor_units(sale.currency))
    if kind in (Kind.CREDIT, Kind.PAYMENT):
        value = -value
    return LedgerRow.objects.create(
        sale=sale,
        kind=kind,
        amount=-reverses.amount if reverses else value,
        currency=sale.currency,
        method=method,
        reverses=reverses,
        at=sale.opened_at,
        entry=f"{sale.number}-{place}",
    )


def both(shop: ShopProfile) -> tuple[list[tuple[object, ...]], list[tuple[object, ...]]]:
    """What either way makes of the sold pieces."""
    bought, _, _ = book(shop)
    lines = [
        (line.item.stock, line.item.invoice, line.purchase, line.selling, line.margin, line.vat)
        for line in bought
        if line.item.sold
    ]
    return lines, [tuple(row) for row in proved(shop)]


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(pieces, min_size=1, max_size=4), policies, rates)
def test_both_ways_agree_in_every_currency(
    db: None,
    made: list[Made],
    dated: list[tuple[int, str, bool, str]],
    asked: list[tuple[str, int, int, tuple[str, str]]],
) -> None:
    with transaction.atomic():
        shop = ShopFactory(address="1 Quarry Road\nRutland, VT 05701", time_zone="America/New_York")
        for starts, scheme, shipping, inland in dated:
            TaxPolicy.objects.create(
                starts=FIRST + starts * DAY, scheme=scheme, shipping_taxable=shipping, inland=inland, at=NOON
            )
        for name, starts, percent, (state, postal) in asked:
            TaxRate.objects.create(
                jurisdiction=name, country="US", state=state, postal=postal, source="A notice", at=NOON,
                percent=Decimal(percent) / 10_000, starts=FIRST + starts * DAY,
            )  # fmt: skip
        for number, one in enumerate(made):
            make(number, one)
        lines, rows = both(shop)
        transaction.set_rollback(True)
    assert lines == rows


def sold(purchase: int, price: int, **given: object) -> Made:
    values = {"reversed_first": False, "ended": 10, "country": "US", "carrier": "Mule Train", "how": "bought"}
    return Made(
        **{**values, "costs": [("purchase", "USD", purchase)], "charges": [(Kind.PRICE, price)], **given}
    )  # type: ignore[arg-type]


def test_the_published_figures_come_out_both_ways(db: None) -> None:
    """GOV.UK, VAT margin schemes: 1,500 to 2,000 at 20 per cent is 83.33, and 900 to 700 is nothing.

    What was bought with VAT charged has no VAT on its margin.
    """
    shop = ShopFactory(address="1 Quarry Road\nRutland, VT 05701", time_zone="America/New_York")
    TaxPolicy.objects.create(starts=FIRST, scheme="vat-margin", at=NOON)
    TaxRate.objects.create(
        jurisdiction="One", country="US", percent=20, starts=FIRST, source="A notice", at=NOON
    )
    repaired = [("purchase", "USD", 150_000), ("repair", "USD", 9_900)]
    for number, made in enumerate(
        [
            sold(0, 200_000, costs=repaired, invoice="R-17"),
            sold(90_000, 70_000),
            sold(90_000, 99_000, country="US", sent_to="FR"),
            sold(90_000, 99_000, with_vat=True),
        ]
    ):
        make(number, made)
    lines, rows = both(shop)
    assert lines == rows
    assert [line[1:] for line in lines] == [
        ("R-17", Decimal(1500), Decimal(2000), Decimal(500), Decimal("83.33")),
        ("", Decimal(900), Decimal(700), Decimal(-200), Decimal(0)),
        ("", Decimal(900), Decimal(990), Decimal(90), Decimal(0)),
        ("", Decimal(900), Decimal(990), Decimal(90), None),
    ]


def test_a_margin_is_rounded_once_in_its_own_currency_both_ways(db: None) -> None:
    """Worked by hand: 40,000 × 15 ÷ 115 = 5,217.39…; 40 × 15 ÷ 115 = 5.21739…; 4 × 15 ÷ 115 = 0.5217…, 3 is 0.39…"""
    shop = ShopFactory(address="1 Quarry Road\nRutland, VT 05701", time_zone="America/New_York")
    TaxPolicy.objects.create(starts=FIRST, scheme="vat-margin", at=NOON)
    TaxRate.objects.create(
        jurisdiction="One", country="US", percent=15, starts=FIRST, source="A notice", at=NOON
    )
    table = [
        ("JPY", 60_000, 100_000, "60000", "100000", "5217"),
        ("JPY", 6, 10, "6", "10", "1"),
        ("JPY", 6, 9, "6", "9", "0"),
        ("KWD", 6000, 100_125, "60.00", "100.125", "5.234"),  # 40.125 × 15 ÷ 115 = 5.23369…
        ("RSD", 6000, 10_000, "60.00", "100.00", "5.22"),
        ("USD", 6000, 10_000, "60.00", "100.00", "5.22"),
    ]
    for number, (currency, paid, price, *_) in enumerate(table):
        make(number, sold(paid, price, sold_in=currency))
    lines, rows = both(shop)
    assert lines == rows
    assert [(line[2], line[3], line[5]) for line in lines] == [
        tuple(map(Decimal, figures)) for _, _, _, *figures in table
    ]
