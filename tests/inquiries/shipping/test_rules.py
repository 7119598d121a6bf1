"""Which rule of a carrier holds, and what weight and girth can never do."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.shipping.rules import (
    Measured,
    Parcel,
    Side,
    Sides,
    Terms,
    Weight,
    billable,
    length_and_girth,
    plain,
    reckon,
    terms_on,
)
from shop.money import Money
from shop.units import GRAMS_PER_POUND, MM_PER_INCH

START = date(2026, 1, 1)
BEFORE, DAY_AFTER = START - timedelta(days=1), START + timedelta(days=1)
TERMS = Terms(1, "Mule Train", START, divisor=Decimal(139))

lengths = st.fractions(min_value=1, max_value=4000, max_denominator=10)
cartons = st.tuples(lengths, lengths, lengths)
masses = st.fractions(min_value=1, max_value=80_000, max_denominator=10)
any_terms = st.builds(
    Terms,
    key=st.just(1),
    carrier=st.just("Mule Train"),
    starts=st.just(START),
    measured=st.sampled_from(Measured),
    divisor=st.none() | st.integers(100, 6000).map(Decimal),
    above=st.none() | st.integers(1, 5000).map(Decimal),
    side=st.sampled_from(Side),
    weight=st.sampled_from(Weight),
)


def inches(*sides: int) -> Sides:
    first, second, third = (side * MM_PER_INCH for side in sides)
    return first, second, third


def figures(parcel: Parcel, terms: Terms = TERMS) -> dict[str, str]:
    return {figure.name: f"{figure.value}: {figure.why}" for figure in reckon(parcel, terms).figures}


@pytest.mark.parametrize(
    ("day", "key"), [(BEFORE, None), (START, 1), (DAY_AFTER, 3), (DAY_AFTER + timedelta(days=9), 3)]
)
def test_a_newer_row_replaces_an_older_from_its_day_on(day: date, key: int | None) -> None:
    rows = [
        replace(TERMS, key=3, starts=DAY_AFTER),
        TERMS,
        replace(TERMS, key=2, starts=DAY_AFTER),
        replace(TERMS, key=4, carrier="River Post"),
    ]
    found = terms_on(rows, " mule  TRAIN", day)
    assert (found.key if found else None) == key


@given(cartons, masses, any_terms)
def test_nothing_is_charged_below_its_weight(sides: Sides, grams: Fraction, terms: Terms) -> None:
    charged = billable(Parcel(sides, grams), terms)
    one = GRAMS_PER_POUND if terms.measured is Measured.INCHES else 1000
    assert charged is not None
    assert charged >= grams / one
    assert terms.weight is Weight.AS_IS or (charged * 2).denominator == 1


@given(cartons, masses, any_terms, st.integers(0, 2), lengths)
def test_a_greater_carton_is_never_charged_less(
    sides: Sides, grams: Fraction, terms: Terms, which: int, more: Fraction
) -> None:
    grown = list(sides)
    grown[which] += more
    larger: Sides = (grown[0], grown[1], grown[2])
    small, large = billable(Parcel(sides, grams), terms), billable(Parcel(larger, grams), terms)
    assert small is not None
    assert large is not None
    assert small <= large
    assert length_and_girth(sides, terms) <= length_and_girth(larger, terms)


@given(cartons, masses, any_terms)
def test_the_order_of_the_sides_does_not_matter(sides: Sides, grams: Fraction, terms: Terms) -> None:
    turned = (sides[2], sides[0], sides[1])
    assert reckon(Parcel(sides, grams), terms) == reckon(Parcel(turned, grams), terms)


def test_each_figure_says_how_it_came_about() -> None:
    terms = replace(TERMS, girth_limit=Decimal(165))
    said = figures(Parcel(inches(20, 48, 10), 14 * GRAMS_PER_POUND, Money(Decimal(900), "USD")), terms)
    assert said == {
        "Billable weight": "70 lb: The greater of dimensional and actual weight, up to a whole pound.",
        "Dimensional weight": "70 lb: 48 × 20 × 10 in ÷ 139 cubic inches per pound is 69.065, up to a whole pound;"
        " each side up to a whole inch.",
        "Length plus girth": "108 in: 48 + 2 × (20 + 10) in; the limit is 165 in.",
        "Declared value": "$900: No limit is written down.",
    }


def test_a_metric_rule_measures_the_same_carton_in_centimetres() -> None:
    terms = replace(TERMS, measured=Measured.CENTIMETRES, divisor=Decimal(5000), weight=Weight.HALF)
    said = figures(Parcel(inches(48, 20, 10), Fraction(6520)), terms)
    # 121.92 × 50.8 × 25.4 cm, each side up: 122 × 51 × 26
    assert said["Dimensional weight"].startswith("32.5 kg: 122 × 51 × 26 cm ÷ 5,000 cubic centimetres")


def test_what_is_not_known_is_not_guessed() -> None:
    assert figures(Parcel(inches(48, 20, 10)))["Billable weight"].startswith(
        "Cannot be told: It needs the weight"
    )
    assert figures(Parcel(grams=Fraction(5000)))["Billable weight"].startswith(
        "Cannot be told: It needs the three sides"
    )
    by_scale = replace(TERMS, divisor=None)
    assert figures(Parcel(grams=5 * GRAMS_PER_POUND), by_scale) == {
        "Billable weight": "5 lb: The actual weight, up to a whole pound."
    }


@pytest.mark.parametrize(
    ("declared", "currency", "cautions"), [("1000", "USD", 0), ("1000.01", "USD", 1), ("5000", "EUR", 0)]
)
def test_a_value_over_the_limit_is_pointed_out(declared: str, currency: str, cautions: int) -> None:
    terms = replace(TERMS, declared_limit=Money(Decimal(1000), "USD"))
    found = reckon(Parcel(declared=Money(Decimal(declared), currency)), terms)
    assert len(found.cautions) == cautions
    assert ("another currency" in found.figures[-1].why) is (currency == "EUR")


@pytest.mark.parametrize(
    ("value", "text"),
    [("69.06475", "69.065"), ("0.0005", "0.001"), ("100", "100"), ("5000", "5,000"), ("0", "0")],
)
def test_figures_are_plain(value: str, text: str) -> None:
    assert plain(Fraction(value)) == text
