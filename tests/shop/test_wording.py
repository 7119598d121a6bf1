"""Figures, dates and money as each language writes them, and the dealer's own words on a page in another."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from django.template import engines
from django.utils import translation

from shop.money import Money
from shop.units import parse_length, parse_mass
from shop.wording import day_of, moment_of, month_name, month_of, number

ZONE = ZoneInfo("America/New_York")
YEAR = [date(2026, 1, 1) + timedelta(days=count) for count in range(365)]


def rendered(source: str, **shown: object) -> str:
    return engines["django"].from_string(source).render(shown)


def test_english_is_written_as_ever() -> None:
    for day in YEAR:
        assert day_of(day) == f"{day:%-d %B %Y}"
        for hour in (0, 9, 12, 23):
            instant = datetime(day.year, day.month, day.day, hour, 5, tzinfo=ZONE)
            as_ever = f"{instant:%a %-d %b %Y, %-I:%M} {'am' if hour < 12 else 'pm'}"
            assert moment_of(instant) == as_ever


@pytest.mark.parametrize(
    ("value", "english", "german"),
    [
        (Decimal("15.20"), "15.2", "15,2"),
        (Decimal(100), "100", "100"),
        (Decimal("1E+3"), "1000", "1000"),
        (Fraction(255, 10), "25.5", "25,5"),
        (25, "25", "25"),
        ("321.465", "321.465", "321,465"),
    ],
)
def test_a_figure_is_as_exact_as_it_was_given(
    value: Decimal | Fraction | int | str, english: str, german: str
) -> None:
    assert number(value) == english
    with translation.override("de"):
        assert number(value) == german


# Source: DIN 5008:2020, section on dates (alphanumeric form): day with a point, month in letters, year.
def test_german_writes_the_day_with_a_point_and_the_hour_of_the_whole_day() -> None:
    with translation.override("de"):
        assert day_of(date(2026, 11, 25)) == "25. November 2026"
        assert day_of(date(1931, 3, 1)) == "1. März 1931"
        assert month_of(1931, 5) == "Mai 1931"
        assert month_name(1) == "Januar"
        assert moment_of(datetime(2026, 11, 25, 16, 5, tzinfo=UTC)) == "Mi. 25. Nov. 2026, 16:05 Uhr"


def test_the_dealers_words_say_their_language_where_the_page_has_another() -> None:
    among, around = "{{ text|own_words }}", "<p{% own_lang %}>{{ text }}</p>"
    text = "Well & truly <old>"
    assert rendered(among, text=text) == "Well &amp; truly &lt;old&gt;"
    assert rendered(around, text="Old") == "<p>Old</p>"
    with translation.override("de"):
        assert rendered(among, text=text) == '<span lang="en">Well &amp; truly &lt;old&gt;</span>'
        assert rendered(among, text="") == ""
        assert rendered(around, text="Old") == '<p lang="en">Old</p>'


@pytest.mark.parametrize(
    ("amount", "currency", "english", "german"),
    [
        ("12500", "USD", "$12,500", "12.500 $"),
        ("12500.5", "EUR", "€12,500.50", "12.500,50 €"),
        ("-3", "JPY", "-¥3", "-3 ¥"),
        ("1.234", "KWD", "KWD1.234", "1,234 KWD"),
    ],
)
def test_money_is_written_as_the_page_speaks(amount: str, currency: str, english: str, german: str) -> None:
    money = Money(Decimal(amount), currency)
    assert str(money) == english
    with translation.override("de"):
        assert str(money) == german.replace(" ", "\N{NO-BREAK SPACE}")


@pytest.mark.parametrize(
    ("typed", "german"),
    [("6.2 lb", "6,2 lb (2,81 kg)"), ("25.5 mm", "25,5 mm (1 Zoll)"), ("26 1/4 in", "26¼ Zoll (667 mm)")],
)
def test_measures_have_the_decimal_mark_of_the_page(typed: str, german: str) -> None:
    read = parse_mass if "lb" in typed else parse_length
    with translation.override("de"):
        assert str(read(typed)) == german
