"""Then and now: which list price speaks, what a figure is, and how a text of figures is read."""

from decimal import Decimal
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.pricing import rules
from catalog.pricing.rules import NoFigure, UnreadableFigures, figures, nearest, read_figures

INDEX = {1913: Decimal("9.9"), 1914: Decimal("10.0"), 1916: Decimal("10.9")}
in_money_of = partial(rules.in_money_of, digits=2)
SOME = st.decimals("0.01", "999999", places=2)
FIGURE = st.decimals("0.1", "9999", places=3)


@pytest.mark.parametrize(
    ("amount", "then", "now", "digits", "expected"),
    [
        ("0.01", "2", "1", 2, "0.01"),  # a half is rounded up
        ("0.01", "3", "1", 2, "0.00"),
        ("124.50", "1", "1", 0, "125"),
        ("124.49", "1", "1", 0, "124"),
        # Rounded once: to cents first, 0.4950 would become 0.50 and then 1.
        ("0.4950", "1", "1", 0, "0"),
        ("125", "17.4", "321.943", 0, "2313"),
    ],
)
def test_half_a_cent_is_rounded_up(amount: str, then: str, now: str, digits: int, expected: str) -> None:
    """By hand."""
    assert in_money_of(Decimal(amount), Decimal(then), Decimal(now), digits=digits) == Decimal(expected)


@given(amount=SOME, figure=FIGURE)
def test_money_of_its_own_year_is_itself(amount: Decimal, figure: Decimal) -> None:
    assert in_money_of(amount, figure, figure) == amount


@given(amount=SOME, then=FIGURE, now=FIGURE)
def test_there_and_back_is_the_same_but_for_the_rounding(
    amount: Decimal, then: Decimal, now: Decimal
) -> None:
    back = in_money_of(in_money_of(amount, then, now), now, then)
    assert abs(back - amount) <= Decimal("0.005") * then / now + Decimal("0.01")


@given(one=SOME, more=SOME, then=FIGURE, now=FIGURE)
def test_a_dearer_piece_stays_no_cheaper(one: Decimal, more: Decimal, then: Decimal, now: Decimal) -> None:
    assert in_money_of(one, then, now) <= in_money_of(one + more, then, now)


def test_a_figure_and_the_latest() -> None:
    assert figures(INDEX, "Prices of the valley", 1914) == (1914, Decimal("10.0"), 1916, Decimal("10.9"))


@pytest.mark.parametrize(
    ("index", "year", "says"),
    [
        (
            INDEX,
            1912,
            "The index “Prices of the valley” runs from 1913 to 1916, so the amount of 1912 stands as it was.",
        ),
        (
            INDEX,
            1917,
            "The index “Prices of the valley” runs from 1913 to 1916, so the amount of 1917 stands as it was.",
        ),
        (
            INDEX,
            1915,
            "The index “Prices of the valley” has a gap at 1915, so the amount of 1915 stands as it was.",
        ),
        ({}, 1915, "The index “Prices of the valley” has no figures yet."),
    ],
)
def test_nothing_is_extrapolated(index: dict[int, Decimal], year: int, says: str) -> None:
    with pytest.raises(NoFigure) as refused:
        figures(index, "Prices of the valley", year)
    assert refused.value.message == says


@pytest.mark.parametrize(
    ("years", "earliest", "latest", "expected", "within"),
    [
        ([1927], 1927, 1927, 1927, True),
        ([1924, 1927, 1931], 1925, 1928, 1927, True),
        ([1925, 1926, 1927, 1928], 1925, 1928, 1926, True),  # 1926 and 1927 are equally near the middle
        ([1925, 1928], 1925, 1928, 1925, True),
        ([1920, 1931], 1925, 1928, 1931, False),
        ([1920, 1933], 1925, 1928, 1920, False),  # equally near: the earlier
        ([1931], None, 1928, 1931, False),
        ([1910, 1922], None, 1928, 1922, True),
        ([1910, 1935], 1928, None, 1935, True),
    ],
)
def test_which_list_price_speaks(
    years: list[int], earliest: int | None, latest: int | None, expected: int, within: bool
) -> None:
    """Common practice, no source: a price of its own years, else of the nearest year."""
    speaking = nearest(years, earliest, latest)
    assert speaking == (expected, within)


def test_without_a_date_or_without_a_price_nothing_speaks() -> None:
    assert nearest([1927], None, None) is None
    assert nearest([], 1927, 1927) is None


@pytest.mark.parametrize(
    "text",
    [
        "1913,9.9\n1914,10.0",
        "year,value\n1913,9.9\n1914,10.0\n",
        "\ufeffyear;value\r\n1913;9,9\r\n\r\n1914;10,0\r\n",
        "# as published\n1913\t9,9\n1914\t10,0",
        '"year","value"\n"1913","9.9"\n"1914","10"',
        " 1914 ; 10.0 \n 1913 ; 9.9 ",
    ],
)
def test_figures_are_read_as_people_keep_them(text: str) -> None:
    assert read_figures(text) == {1913: Decimal("9.9"), 1914: Decimal(10)}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            "1913,9,9\n1914,10.0",
            [
                "Line 1: “1913,9,9” can be read in two ways. With a decimal comma, put a semicolon after the year."
            ],
        ),
        ("1913;9,9\n1914,10.0", ["Line 2: “1914,10.0” is not a year and a figure."]),
        ("year,value\n13,9.9\n1914,10", ["Line 2: “13” is no year of four figures."]),
        (
            "1913,nine\n1914,-10\n1915,1e3",
            [
                f"Line {n}: “{value}” is no figure such as 17.4, without grouping and with four decimals at most."
                for n, value in enumerate(["nine", "-10", "1e3"], 1)
            ],
        ),
        ("1913,0.0\n1914,10", ["Line 1: a figure is above nought."]),
        ("1913,9.9\n1913,9.9", ["Line 2: the year 1913 stands there twice."]),
        (
            "1999;999,5\n2000;1,000",
            ["From 1999 to 2000 the figure goes from 999.5 to 1.000. Look at the decimal sign."],
        ),
        ("1913,9.9", ["There are no two years in it. Write a line for each, such as 1927,17.4."]),
        ("", ["There are no two years in it. Write a line for each, such as 1927,17.4."]),
    ],
)
def test_a_text_is_read_whole_or_refused_line_by_line(text: str, says: list[str]) -> None:
    with pytest.raises(UnreadableFigures) as refused:
        read_figures(text)
    assert refused.value.messages == says


def test_no_more_than_eight_lines_are_named() -> None:
    with pytest.raises(UnreadableFigures) as refused:
        read_figures("\n".join(f"{1900 + n},x" for n in range(12)))
    assert len(refused.value.messages) == 9
    assert refused.value.messages[-1] == "And 4 more lines."


@given(
    st.dictionaries(st.integers(1000, 9999), st.decimals("1", "90", places=4), min_size=2),
    st.sampled_from([(",", "."), (";", "."), (";", ","), ("\t", ",")]),
)
def test_what_is_written_out_is_read_back(found: dict[int, Decimal], signs: tuple[str, str]) -> None:
    separator, decimal = signs
    text = "\n".join(f"{year}{separator}{str(value).replace('.', decimal)}" for year, value in found.items())
    assert read_figures(text) == found
