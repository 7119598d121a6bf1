"""Tax on a sale: tables worked by hand. The practice is from memory where the rules say so; figures are invented."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.tax.rules import (
    Asked,
    Certificate,
    Place,
    Policy,
    Rate,
    Rounding,
    Scheme,
    Sourcing,
    margin_tax,
    place_of,
    policy_on,
    purchase_of,
    rates_at,
    rates_on,
    reckon,
    rounded_to,
)
from shop.money import Money, minor_units
from tests.support.currencies import PAYABLE

DAY = date(2026, 6, 10)
SHOP = Place("US", "VT", "05701")
NEAR = Place("US", "VT", "05401")
AWAY = Place("US", "OH", "43085")
ABROAD = Place("DE")

STATE = Rate(1, "The state", "US", Decimal("6"), date(2020, 1, 1), "VT")
TOWN = Rate(2, "The town", "US", Decimal("1.25"), date(2020, 1, 1), "VT", ("054",))
RATES = [STATE, TOWN]
TAXED = Policy(1, date(2020, 1, 1), Scheme.SALES_TAX)


def asked(**given: Any) -> Asked:
    return Asked(
        **{
            "day": DAY,
            "currency": "USD",
            "price": Decimal(1000),
            "origin": SHOP,
            "destination": NEAR,
            **given,
        }
    )


def tax(policy: Policy = TAXED, rates: list[Rate] | None = None, **given: Any) -> Decimal | None:
    return reckon(asked(**given), policy, RATES if rates is None else rates).tax


def test_rates_stack_at_the_destination() -> None:
    found = reckon(asked(), TAXED, RATES)
    assert (found.tax, found.percent, len(found.rates)) == (Decimal("72.50"), Decimal("7.25"), 2)
    assert not found.contained


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({"destination": SHOP}, "60.00"),  # only the state's rate holds there
        ({"destination": AWAY}, "0"),  # the shop has no rate there
        ({"destination": ABROAD}, "0"),  # an export
        ({"handed_over": True, "destination": AWAY}, "60.00"),  # taxed where it was handed over
        ({"handed_over": True, "destination": ABROAD}, "60.00"),
        ({"handed_over": True, "destination": None}, "60.00"),
        ({"certificate": Certificate("R-1", "VT")}, "0"),
        ({"certificate": Certificate("R-1", "VT", DAY)}, "0"),  # its last day counts
        ({"certificate": Certificate("R-1", "VT", date(2026, 6, 9))}, "72.50"),
        ({"certificate": Certificate("")}, "72.50"),
        ({"shipping": Decimal(100)}, "72.50"),  # not taxed by this policy
        ({"trade_in": Decimal(400)}, "72.50"),  # no allowance by this policy
    ],
)
def test_sales_tax_to_a_destination(changed: dict[str, Any], expected: str) -> None:
    assert tax(**changed) == Decimal(expected)


@pytest.mark.parametrize(
    ("policy", "changed", "expected"),
    [
        ({"sourcing": Sourcing.ORIGIN}, {}, "60.00"),
        ({"sourcing": Sourcing.ORIGIN}, {"destination": AWAY}, "0"),  # to another state it is its destination
        ({"shipping_taxable": True}, {"shipping": Decimal(100)}, "79.75"),
        ({"trade_in_allowed": True}, {"trade_in": Decimal(400)}, "43.50"),
        ({"trade_in_allowed": True}, {"trade_in": Decimal(1400)}, "0.00"),  # never below nought
        ({"scheme": Scheme.NONE}, {}, "0"),
    ],
)
def test_the_switches_of_a_policy(policy: dict[str, Any], changed: dict[str, Any], expected: str) -> None:
    assert tax(replace(TAXED, **policy), **changed) == Decimal(expected)


def test_a_line_or_the_whole_is_rounded() -> None:
    """At 5 per cent, 10.10 twice: 0.505 each is 0.51 a line, 1.02 in all; 20.20 together is 1.01."""
    rates = [replace(STATE, percent=Decimal(5))]
    given = {"price": Decimal("10.10"), "shipping": Decimal("10.10"), "rates": rates}
    policy = replace(TAXED, shipping_taxable=True)
    assert tax(replace(policy, rounding=Rounding.LINE), **given) == Decimal("1.02")
    assert tax(replace(policy, rounding=Rounding.INVOICE), **given) == Decimal("1.01")


def test_half_a_cent_goes_up() -> None:
    assert tax(rates=[replace(STATE, percent=Decimal(5))], price=Decimal("0.10")) == Decimal("0.01")
    assert tax(rates=[replace(STATE, percent=Decimal("4.99"))], price=Decimal("0.10")) == Decimal("0.00")


def test_an_unreadable_place_gives_no_tax_and_says_so() -> None:
    found = reckon(asked(destination=None), TAXED, RATES)
    assert found.tax is None
    assert "cannot be read from the buyer’s address" in " ".join(found.why)
    assert reckon(asked(origin=None), TAXED, RATES).tax is None


VAT = Rate(7, "Inland", "DE", Decimal(19), date(2020, 1, 1))
NORMAL = Policy(2, date(2020, 1, 1), Scheme.NORMAL, inland=frozenset({"FR"}))
INLAND: dict[str, Any] = {"origin": Place("DE"), "destination": Place("DE")}


def test_normal_vat_is_inside_the_price() -> None:
    """1,190 at 19 per cent holds 190."""
    found = reckon(asked(price=Decimal(1190), **INLAND), NORMAL, [VAT])
    assert (found.tax, found.contained) == (Decimal("190.00"), True)


def test_normal_vat_without_a_rate_is_not_nought_but_not_known() -> None:
    found = reckon(asked(origin=Place("DE"), destination=Place("FR")), NORMAL, [VAT])
    assert found.tax is None


def test_a_country_named_as_inland_is_no_export() -> None:
    there = Place("FR")
    assert tax(replace(NORMAL, inland=frozenset()), [VAT], origin=Place("DE"), destination=there) == 0
    french = replace(VAT, key=8, jurisdiction="There", country="FR", percent=Decimal(20))
    assert tax(NORMAL, [VAT, french], origin=Place("DE"), destination=there, price=Decimal(600)) == Decimal(
        100
    )


MARGIN = replace(NORMAL, scheme=Scheme.MARGIN)


@pytest.mark.parametrize(
    ("purchase", "changed", "expected"),
    [
        ("810", {}, "30.34"),  # 190 × 19 ÷ 119 = 30.336…
        ("1000", {}, "0.00"),
        ("1200", {}, "0.00"),
        ("810", {"shipping": Decimal(100)}, "30.34"),
        ("810", {"destination": Place("US", "OH", "43085")}, "0"),
    ],
)
def test_the_margin_scheme(purchase: str, changed: dict[str, Any], expected: str) -> None:
    given = {**INLAND, "purchase": Decimal(purchase), **changed}
    assert tax(MARGIN, [VAT], **given) == Decimal(expected)


def test_shipping_is_in_the_selling_price_where_the_policy_says_so() -> None:
    given = {**INLAND, "purchase": Decimal(810), "shipping": Decimal(100)}
    assert tax(replace(MARGIN, shipping_taxable=True), [VAT], **given) == Decimal("46.30")  # 290 × 19 ÷ 119


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({}, "159.66"),  # 1000 × 19 ÷ 119 = 159.663…, whatever it was bought for
        ({"purchase": Decimal(1200)}, "159.66"),  # also when sold below cost
        ({"purchase": None}, "159.66"),
        ({"price": Decimal(1190)}, "190.00"),
        ({"destination": Place("FR")}, "166.67"),  # no export by this policy: by the rate there
        ({"destination": Place("US", "OH", "43085")}, "0"),  # an export
        ({"handed_over": True, "destination": Place("FR")}, "159.66"),
        ({"consigned": True, "purchase": None}, None),  # never bought: as any consigned piece
    ],
)
def test_what_was_bought_with_vat_is_outside_the_margin_scheme(
    changed: dict[str, Any], expected: str | None
) -> None:
    """Directive 2006/112/EC, art. 314, and GOV.UK, VAT margin schemes: not for an item bought with VAT charged."""
    french = replace(VAT, key=8, jurisdiction="There", country="FR", percent=Decimal(20))
    given = {**INLAND, "purchase": Decimal(810), "vat_charged": True, **changed}
    found = reckon(asked(**given), MARGIN, [VAT, french])
    assert found.tax == (None if expected is None else Decimal(expected))
    told = "The seller charged VAT on it" in " ".join(found.why)
    assert told is (bool(found.rates) and expected is not None)
    assert found.scheme == (Scheme.NORMAL if told else Scheme.MARGIN)


def test_a_purchase_with_vat_changes_nothing_under_another_policy() -> None:
    for policy in (NORMAL, TAXED):
        assert reckon(asked(vat_charged=True), policy, RATES) == reckon(asked(), policy, RATES)


def test_no_margin_without_a_purchase_price_or_a_rate() -> None:
    assert tax(MARGIN, [VAT], **INLAND) is None
    assert tax(MARGIN, [], **INLAND, purchase=Decimal(810)) is None


def test_a_resale_certificate_frees_of_no_vat() -> None:
    given = {**INLAND, "price": Decimal(1190), "certificate": Certificate("R-1")}
    assert tax(NORMAL, [VAT], **given) == Decimal("190.00")


def test_a_later_row_retires_an_earlier_one_from_its_day_on() -> None:
    later = replace(STATE, key=5, percent=Decimal("6.5"), starts=DAY, jurisdiction="THE STATE")
    ended = replace(STATE, key=6, percent=Decimal(0), starts=date(2026, 7, 1))
    rows = [ended, later, STATE]
    assert [rate.key for rate in rates_on(rows, date(2026, 6, 9))] == [1]
    assert [rate.key for rate in rates_on(rows, DAY)] == [5]
    assert rates_on(rows, date(2026, 7, 1)) == []
    mended = replace(later, key=9, percent=Decimal("6.25"))
    assert [rate.key for rate in rates_on([mended, later, STATE], DAY)] == [9], (
        "of one day the one added later"
    )
    assert rates_on(rows, date(2019, 12, 31)) == []


def test_the_policy_of_a_day() -> None:
    later = replace(TAXED, key=2, starts=DAY, scheme=Scheme.NONE)
    assert policy_on([later, TAXED], date(2026, 6, 9)) == TAXED
    assert policy_on([TAXED, later], DAY) == later
    assert policy_on([TAXED], date(2019, 12, 31)) is None


@pytest.mark.parametrize(
    ("address", "country", "expected"),
    [
        ("Ada Quill\n4 Mill Lane\nRutland, VT 05701", "US", SHOP),
        ("4 Mill Lane, Burlington VT 05401-1234", "us", NEAR),
        ("4 Mill Lane\nWorthington, OH 43085\n", "US", AWAY),
        ("4 Mill Lane\nSomewhere", "US", None),
        ("", "US", None),
        ("Anything", "DE", ABROAD),
        ("Anything", "", None),
        ("1 Lake Road\nKenora ON P9N 1A1", "CA", Place("CA", "ON", "P9N1A1")),
    ],
)
def test_the_place_of_an_address(address: str, country: str, expected: Place | None) -> None:
    assert place_of(address, country) == expected


def test_a_rate_with_postal_codes_holds_only_there() -> None:
    assert rates_at(RATES, Place("US", "VT"), DAY) == [STATE]
    assert rates_at(RATES, NEAR, DAY) == [STATE, TOWN]
    assert rates_at([replace(STATE, state="")], AWAY, DAY) != []


cents = st.integers(0, 10**12).map(lambda count: Decimal(count) / 100)
rates = st.integers(0, 999_999).map(lambda count: Decimal(count) / 10_000)


@given(cents, cents, rates)
def test_a_margin_is_never_taxed_below_nought_nor_by_the_whole_of_it(
    purchase: Decimal, selling: Decimal, percent: Decimal
) -> None:
    due = margin_tax(purchase, selling, percent, "EUR")
    assert 0 <= due <= max(selling - purchase, Decimal(0))
    if selling <= purchase:
        assert due == 0


SALES, VAT_IN_IT, ON_MARGIN = "sales-tax", "vat-normal", "vat-margin"
POLICIES = {SALES: TAXED, VAT_IN_IT: NORMAL, ON_MARGIN: MARGIN}


def in_currency(scheme: str, currency: str, price: str, percent: str, **given: Any) -> Decimal | None:
    """The tax of a sale in the shop's own country, at one rate."""
    here = SHOP if scheme == SALES else Place("DE")
    rate = replace(STATE if scheme == SALES else VAT, percent=Decimal(percent))
    values = {"origin": here, "destination": here, "currency": currency, "price": Decimal(price), **given}
    return tax(POLICIES[scheme], [rate], **values)


@pytest.mark.parametrize(
    ("scheme", "currency", "price", "percent", "purchase", "expected"),
    [
        (SALES, "JPY", "99", "0.5", "0", "0"),  # 0.495: to hundredths first it would be 0.50, and then 1
        (SALES, "JPY", "1010", "5", "0", "51"),  # 50.5
        (SALES, "KWD", "1000.123", "6", "0", "60.007"),  # 60.00738
        (SALES, "KWD", "0.010", "5", "0", "0.001"),  # 0.0005
        (VAT_IN_IT, "JPY", "110000", "10", "0", "10000"),
        (VAT_IN_IT, "JPY", "5", "11", "0", "0"),  # 55 ÷ 111 = 0.4954…, and not 1
        (VAT_IN_IT, "KWD", "100.005", "5", "0", "4.762"),  # 4.76214…
        (VAT_IN_IT, "IQD", "1190.000", "19", "0", "190.000"),
        (ON_MARGIN, "JPY", "100000", "15", "60000", "5217"),  # 5,217.39…
        (ON_MARGIN, "JPY", "105", "11", "100", "0"),  # 0.4954… again
        (ON_MARGIN, "KWD", "100.000", "15", "60.000", "5.217"),  # 5.21739…
        (ON_MARGIN, "KWD", "100.000", "15", "100.000", "0.000"),
        (ON_MARGIN, "RSD", "100.00", "15", "60.00", "5.22"),  # two decimals by ISO 4217, none by CLDR
    ],
)
def test_a_tax_is_rounded_once_to_the_minor_unit_of_its_currency(
    scheme: str, currency: str, price: str, percent: str, purchase: str, expected: str
) -> None:
    """Worked by hand."""
    assert str(in_currency(scheme, currency, price, percent, purchase=Decimal(purchase))) == expected


@pytest.mark.parametrize(
    ("currency", "price", "by_line", "by_whole"),
    [("JPY", "10", "2", "1"), ("KWD", "10.010", "1.002", "1.001"), ("USD", "10.10", "1.02", "1.01")],
)
def test_each_line_is_rounded_in_its_own_currency(
    currency: str, price: str, by_line: str, by_whole: str
) -> None:
    """At 5 per cent on twice the same: 0.5, 0.5005 and 0.505 a line."""
    rates = [replace(STATE, percent=Decimal(5))]
    given = {"price": Decimal(price), "shipping": Decimal(price), "rates": rates, "currency": currency}
    policy = replace(TAXED, shipping_taxable=True)
    assert tax(replace(policy, rounding=Rounding.LINE), **given) == Decimal(by_line)
    assert tax(replace(policy, rounding=Rounding.INVOICE), **given) == Decimal(by_whole)


@pytest.mark.parametrize(
    ("currency", "words"),
    [
        ("USD", "to the cent, half a cent up"),
        ("JPY", "to 1 JPY, half of that up"),
        ("KWD", "to 0.001 KWD, half of that up"),
    ],
)
def test_what_is_said_of_rounding_is_true_of_the_currency(currency: str, words: str) -> None:
    assert rounded_to(currency) == words
    for scheme, policy in POLICIES.items():
        for rounding in Rounding:
            here = SHOP if scheme == SALES else Place("DE")
            values = {"origin": here, "destination": here, "currency": currency, "purchase": Decimal(1)}
            found = reckon(asked(**values), replace(policy, rounding=rounding), [STATE, VAT])
            assert f"rounded {'on the item ' if scheme == ON_MARGIN else ''}{words}." in found.why[-1]


@given(
    st.sampled_from(sorted(POLICIES)),
    st.sampled_from(["JPY", "KWD", "USD"]) | st.sampled_from(PAYABLE),
    st.integers(0, 10**12),
    st.integers(0, 10**12),
    st.integers(1, 999_999),
)
def test_a_tax_in_any_currency_is_within_half_a_minor_unit_of_the_exact_product(
    scheme: str, currency: str, sold: int, bought: int, percent: int
) -> None:
    digits = minor_units(currency)
    price, purchase = (Decimal(minor).scaleb(-digits) for minor in (sold, max(bought, 1)))
    rate = Decimal(percent) / 10_000
    found = in_currency(scheme, currency, str(price), str(rate), purchase=purchase)
    assert found is not None
    base = max(price - purchase, Decimal(0)) if scheme == ON_MARGIN else price
    over = 100 + (0 if scheme == SALES else Fraction(rate))
    off = Fraction(found) - Fraction(base) * Fraction(rate) / over
    assert -1 < 2 * off * 10**digits <= 1, "half a unit goes up, never down"
    assert found == found.scaleb(digits).to_integral_value().scaleb(-digits)


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        ([], None),
        ([("USD", "900")], ("900", "USD")),
        ([("USD", "900"), ("USD", "-100")], ("800", "USD")),
        (
            [("EUR", "800"), ("EUR", "-800"), ("USD", "900")],
            ("900", "USD"),
        ),  # typed in the wrong currency, mended
        ([("EUR", "800"), ("USD", "900")], None),
        ([("USD", "900"), ("USD", "-900")], None),
        ([("USD", "-1")], None),
    ],
)
def test_what_was_paid_is_one_sum_in_one_currency_or_not_known(
    rows: list[tuple[str, str]], expected: tuple[str, str] | None
) -> None:
    """Common practice, no source: a row of the opposite amount undoes another."""
    found = purchase_of((currency, Decimal(amount)) for currency, amount in rows)
    assert found == (None if expected is None else Money(Decimal(expected[0]), expected[1]))
