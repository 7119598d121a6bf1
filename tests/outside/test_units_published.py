"""Inches and pounds against the published definitions."""

from fractions import Fraction

import pytest

from shop.units import Length, Mass


def test_thirty_six_inches_are_a_yard_of_exactly_0_9144_metre() -> None:
    """Source: international yard and pound agreement, in force 1 July 1959 (1 yd = 0.9144 m)."""
    assert Length(36 * 64, "in64").mm == Fraction("914.4")


@pytest.mark.parametrize("pound", [Mass(64, "oz4"), Mass(100, "lb100")])
def test_a_pound_is_exactly_0_45359237_kilogram(pound: Mass) -> None:
    """Source: international yard and pound agreement, in force 1 July 1959 (1 lb = 0.45359237 kg)."""
    assert pound.grams / 1000 == Fraction("0.45359237")
    assert pound.pounds == 1


@pytest.mark.parametrize(
    ("measure", "published"),
    [
        (Length(64, "in64").mm / 1000, "2.54E-02"),
        (Mass(4, "oz4").grams / 1000, "2.834952E-02"),
        (Mass(64, "oz4").grams / 1000, "4.535924E-01"),
    ],
    ids=["inch", "ounce", "pound"],
)
def test_the_factors_agree_with_the_printed_table_to_its_last_digit(
    measure: Fraction, published: str
) -> None:
    """Source, from memory: NIST Special Publication 811 (2008), appendix B, factors to metre and kilogram."""
    assert f"{float(measure):.6E}".replace("0000E", "E") == published


def test_a_banjo_head_of_eleven_inches_is_sold_as_279_millimetres() -> None:
    """Source: the exact inch of 1959; 11 x 25.4 = 279.4."""
    assert Length(11 * 64, "in64").mm == Fraction("279.4")
    assert str(Length(11 * 64, "in64")) == "11 in (279 mm)"
