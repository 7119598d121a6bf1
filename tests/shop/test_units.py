"""Lengths and masses: typed, kept exactly, said back in both systems."""

import dataclasses
from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.units import LENGTH_UNITS, MASS_UNITS, Length, Mass, UnreadableMeasure, parse_length, parse_mass

AMOUNTS = st.integers(min_value=0, max_value=999_999)
LENGTHS = st.builds(Length, AMOUNTS, st.sampled_from(sorted(LENGTH_UNITS)))
MASSES = st.builds(Mass, AMOUNTS, st.sampled_from(sorted(MASS_UNITS)))


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("26 1/4 in", (1680, "in64")),
        ("26¼", (1680, "in64")),
        ("26 1/4", (1680, "in64")),
        ('26 1/4"', (1680, "in64")),
        ("26-1/4 inches", (1680, "in64")),
        ("26 1⁄4 in.", (1680, "in64")),
        ("26¼″", (1680, "in64")),
        ("26.25 in", (1680, "in64")),
        ("  26.25   IN ", (1680, "in64")),
        (".25 in", (16, "in64")),
        ("¼ in", (16, "in64")),
        ("10 15/16 in", (700, "in64")),
        ("667 mm", (6670, "mm10")),
        ("66.7 cm", (6670, "mm10")),
        ("42.5mm", (425, "mm10")),
        ("0 mm", (0, "mm10")),
        ("26¼ in (667 mm)", (1680, "in64")),
    ],
)
def test_a_length_is_kept_as_it_was_measured(typed: str, stored: tuple[int, str]) -> None:
    assert parse_length(typed).stored == stored


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("6 lb 3 oz", (396, "oz4")),
        ("6 lbs, 3 oz.", (396, "oz4")),
        ("6lb3oz", (396, "oz4")),
        ("6 lb 3½ oz", (398, "oz4")),
        ("6 pounds 3.25 ounces", (397, "oz4")),
        ("6 lb", (384, "oz4")),
        ("6½ lb", (416, "oz4")),
        ("99 oz", (396, "oz4")),
        ("6.2 lb", (620, "lb100")),
        ("6.25 lb", (625, "lb100")),
        ("6.125 lb", (392, "oz4")),
        ("2810 g", (2810, "g")),
        ("2.81 kg", (2810, "g")),
        ("6 lb 3 oz (2.81 kg)", (396, "oz4")),
    ],
)
def test_a_mass_is_kept_as_it_was_weighed(typed: str, stored: tuple[int, str]) -> None:
    assert parse_mass(typed).stored == stored


@pytest.mark.parametrize(
    ("typed", "code", "sentence"),
    [
        ("26", "no-unit", "“26” has no unit. Write it as 26 1/4 in, 26.25 in, 667 mm or 66.7 cm."),
        ("26.25", "no-unit", "“26.25” has no unit. Write it as 26 1/4 in, 26.25 in, 667 mm or 66.7 cm."),
        (
            "25.3 in",
            "not-exact",
            "“25.3 in” cannot be kept exactly. Inches are kept in whole 64ths; "
            "the nearest is 25 19/64 in. Write that, or give millimetres.",
        ),
        ("66.75 mm", "not-exact", "“66.75 mm” cannot be kept exactly. Millimetres are kept to the tenth."),
        (
            "2 61/4 in",
            "bad-fraction",
            "“61/4” is not a fraction below one. Write it as 26 1/4 in, 26.25 in, 667 mm or 66.7 cm.",
        ),
        (
            "3 ft",
            "unknown-unit",
            "“ft” is no unit of length here. Write it as 26 1/4 in, 26.25 in, 667 mm or 66.7 cm.",
        ),
        (
            "6 lb",
            "unknown-unit",
            "“lb” is no unit of length here. Write it as 26 1/4 in, 26.25 in, 667 mm or 66.7 cm.",
        ),
    ],
)
def test_a_length_that_is_not_exact_is_refused_with_what_to_type(
    typed: str, code: str, sentence: str
) -> None:
    with pytest.raises(UnreadableMeasure) as refusal:
        parse_length(typed)
    assert (refusal.value.code, str(refusal.value)) == (code, sentence)


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "in",
        "-2 in",
        "26,25 in",
        "1,000 mm",
        "two feet",
        "1/0 in",
        "26 1/4 1/4 in",
        "٢٦ in",
        "1e3 mm",
        "nan in",
    ],
)
def test_what_is_no_length_is_refused(typed: str) -> None:
    with pytest.raises(UnreadableMeasure, match="Write it as 26 1/4 in"):
        parse_length(typed)


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("6.2", "no-unit"),
        ("6¼", "no-unit"),
        ("6 lb 16 oz", "too-many-ounces"),
        ("6 lb 3.2 oz", "not-exact"),
        ("6.203 lb", "not-exact"),
        ("0.5 g", "not-exact"),
        ("6 in", "unknown-unit"),
        ("6.2 lb 3 oz", "unreadable"),
        ("-6 lb", "unreadable"),
        ("", "unreadable"),
    ],
)
def test_a_mass_that_is_not_exact_is_refused(typed: str, code: str) -> None:
    with pytest.raises(UnreadableMeasure) as refusal:
        parse_mass(typed)
    assert refusal.value.code == code


@pytest.mark.parametrize(
    ("stored", "shown"),
    [
        ((1680, "in64"), "26¼ in (667 mm)"),
        ((1669, "in64"), "26 5/64 in (662 mm)"),
        ((108, "in64"), "1 11/16 in (42.9 mm)"),
        ((6, "in64"), "3/32 in (2.4 mm)"),
        ((56, "in64"), "⅞ in (22.2 mm)"),
        ((6670, "mm10"), "667 mm (26 17/64 in)"),
        ((425, "mm10"), "42.5 mm (1 43/64 in)"),
        ((1, "mm10"), "0.1 mm (under 1/64 in)"),
        ((0, "mm10"), "0 mm (0 in)"),
    ],
)
def test_a_length_is_shown_as_typed_and_then_converted(stored: tuple[int, str], shown: str) -> None:
    assert str(Length.from_stored(*stored)) == shown


@pytest.mark.parametrize(
    ("stored", "shown"),
    [
        ((396, "oz4"), "6 lb 3 oz (2.81 kg)"),
        ((398, "oz4"), "6 lb 3½ oz (2.82 kg)"),
        ((384, "oz4"), "6 lb (2.72 kg)"),
        ((1, "oz4"), "¼ oz (7 g)"),
        ((620, "lb100"), "6.2 lb (2.81 kg)"),
        ((2810, "g"), "2.81 kg (6 lb 3 oz)"),
        ((2815, "g"), "2.815 kg (6 lb 3 oz)"),
        ((453, "g"), "453 g (1 lb)"),
        ((1, "g"), "1 g (under ¼ oz)"),
    ],
)
def test_a_mass_is_shown_as_weighed_and_then_converted(stored: tuple[int, str], shown: str) -> None:
    assert str(Mass.from_stored(*stored)) == shown


@given(LENGTHS)
def test_a_length_reads_its_own_display(length: Length) -> None:
    assert parse_length(str(length)) == length


@given(MASSES)
def test_a_mass_reads_its_own_display(mass: Mass) -> None:
    read = parse_mass(str(mass))
    assert read.grams == mass.grams
    # Whole pounds look alike on both scales: 6 lb may come back in quarter-ounces, the same mass exactly.
    assert read == mass or (mass.unit == "lb100" and mass.amount % 100 == 0)


@given(LENGTHS)
def test_both_units_of_a_length_are_exact(length: Length) -> None:
    assert length.inches * Fraction(254, 10) == length.mm
    assert Length.from_stored(*length.stored) == length


@given(st.integers(0, 9_999), st.integers(0, 63))
def test_a_decimal_and_a_fraction_of_the_same_length_are_one(whole: int, sixty_fourths: int) -> None:
    decimal = f"{whole}.{sixty_fourths * 15625:06d} in"
    fraction = f"{whole} {sixty_fourths}/64 in" if sixty_fourths else f"{whole} in"
    assert parse_length(decimal) == parse_length(fraction) == Length(whole * 64 + sixty_fourths, "in64")


@given(st.text(max_size=20))
def test_no_text_does_anything_but_read_or_refuse(text: str) -> None:
    for parse in (parse_length, parse_mass):
        with suppress(UnreadableMeasure):
            assert parse(text).amount >= 0


@pytest.mark.parametrize(
    ("amount", "unit", "code"),
    [(1, "oz4", "unknown-unit"), (-1, "in64", "bad-amount"), (True, "in64", "bad-amount")],
)
def test_a_stored_length_that_makes_no_sense_is_refused(amount: int, unit: str, code: str) -> None:
    with pytest.raises(UnreadableMeasure) as refusal:
        Length.from_stored(amount, unit)
    assert refusal.value.code == code


def test_a_measure_never_changes() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        Length(64, "in64").amount = 65  # type: ignore[misc]


def test_measured_differently_is_not_equal() -> None:
    inch, millimetres = Length(64, "in64"), Length(254, "mm10")
    assert inch != millimetres
    assert inch.mm == millimetres.mm
