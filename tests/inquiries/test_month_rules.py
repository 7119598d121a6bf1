"""The figures of a month from values alone: by hand, on the edges, and with nothing to go on."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inquiries.review.chart import BOTTOM, HEIGHT, TOP, draw, scale
from inquiries.review.rules import Line, Month, Rows, Sold, Wait, by_month, figures, guarded, side_by_side

MAY = Month(2026, 5)
NEW_YORK = ZoneInfo("America/New_York")
D = Decimal


def sold(price: str, costs: tuple[tuple[str, Decimal], ...] = (), share: str = "0", **more: object) -> Sold:
    fields = {"currency": "USD", "days": 10, "month": MAY} | more
    return Sold(price=D(price), costs=costs, share=D(share), **fields)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("month", "zone", "start", "end"),
    [
        # New York is at UTC-4 from 8 March to 1 November 2026, else UTC-5 (IANA time zone database, from memory).
        (
            "2026-05",
            "America/New_York",
            datetime(2026, 5, 1, 4, tzinfo=UTC),
            datetime(2026, 6, 1, 4, tzinfo=UTC),
        ),
        (
            "2026-03",
            "America/New_York",
            datetime(2026, 3, 1, 5, tzinfo=UTC),
            datetime(2026, 4, 1, 4, tzinfo=UTC),
        ),
        (
            "2026-11",
            "America/New_York",
            datetime(2026, 11, 1, 4, tzinfo=UTC),
            datetime(2026, 12, 1, 5, tzinfo=UTC),
        ),
        (
            "2025-12",
            "Asia/Tokyo",
            datetime(2025, 11, 30, 15, tzinfo=UTC),
            datetime(2025, 12, 31, 15, tzinfo=UTC),
        ),
    ],
)
def test_a_month_begins_and_ends_on_the_shops_clock(
    month: str, zone: str, start: datetime, end: datetime
) -> None:
    assert Month.read(month).span(ZoneInfo(zone)) == (start, end)


@given(st.integers(1990, 2090), st.integers(1, 12), st.integers(-30, 30))
def test_months_join_without_gap_and_counting_back_undoes_counting_on(
    year: int, number: int, on: int
) -> None:
    month = Month(year, number)
    assert month.later(on).later(-on) == month
    assert month.span(NEW_YORK)[1] == month.later(1).span(NEW_YORK)[0]
    assert Month.read(str(month)) == month
    assert Month.of(month.span(NEW_YORK)[0], NEW_YORK) == month
    assert Month.of(month.span(NEW_YORK)[1] - timedelta(microseconds=1), NEW_YORK) == month


@pytest.mark.parametrize(
    "text", ["2026-13", "2026-00", "2026-5", "may", "2026-05-01", "٢٠٢٦-٠٥", "2026-05\n", ""]
)
def test_what_is_no_month_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="write it as 2026-05"):
        Month.read(text)


def test_the_margin_is_what_is_left_of_the_price_after_all_costs() -> None:
    bought = sold("12500.00", (("USD", D("8000.00")), ("USD", D("120.55")), ("USD", D("-20.55"))))
    consigned = sold("4000.00", (("USD", D("60.00")),), share="3200.00")
    found = figures(Rows(sold=[bought, consigned]))
    # By hand: 16,500 charged; 8,100 + 60 + 3,200 = 11,360 of costs; 5,140 left, 31.15 per cent.
    assert (found.closed, found.revenue, found.landed) == (2, {"USD": D("16500.00")}, {"USD": D("11360.00")})
    assert found.margin == {"USD": D("5140.00")}
    assert found.margin_percent == {"USD": D("31.2")}


def test_currencies_are_never_added() -> None:
    found = figures(Rows(sold=[sold("100", (("EUR", D(30)),)), sold("50", currency="EUR")]))
    assert found.revenue == {"USD": D(100), "EUR": D(50)}
    assert found.margin == {"USD": D(100), "EUR": D(20)}


@pytest.mark.parametrize(
    ("days", "median", "longest"),
    [([], None, None), ([7], D(7), 7), ([3, 9], D(6), 9), ([1, 2, 40], D(2), 40), ([2, 3], D("2.5"), 3)],
)
def test_days_in_stock(days: list[int], median: Decimal | None, longest: int | None) -> None:
    found = figures(Rows(sold=[sold("1", days=count) for count in days]))
    assert (found.median_days, found.longest_days) == (median, longest)


def test_the_unanswered_are_counted_and_kept_out_of_the_times() -> None:
    minutes = [(60, 60), (240, 75), (None, None), (90, 0), (None, None)]
    waits = [Wait(*(None if span is None else timedelta(minutes=span) for span in pair)) for pair in minutes]
    found = figures(Rows(waits=waits))
    assert (found.inquiries, found.unanswered) == (5, 2)
    assert (found.median_wait, found.longest_wait) == (D("1.5"), D("4.0"))
    assert (found.median_open_wait, found.longest_open_wait) == (D("1.0"), D("1.3"))  # 75 minutes


def test_balances_fall_to_the_side_that_owes() -> None:
    found = figures(
        Rows(balances=[("USD", D(10)), ("USD", D(5)), ("USD", D(-3)), ("EUR", D(-2)), ("USD", D(0))])
    )
    assert found.owed_to_us == {"USD": D(15)}
    assert found.refunds_due == {"USD": D(3), "EUR": D(2)}


def test_a_month_in_which_nothing_happened_has_figures_too() -> None:
    lines = side_by_side(figures(Rows()), figures(Rows()), "USD")
    assert {line.now for line in lines if line.money} == {D(0)}
    assert next(line for line in lines if line.unit == "per cent").now is None
    assert next(line for line in lines if line.name.startswith("Time to first")).now is None


def test_every_currency_has_its_own_line_and_the_shops_own_comes_first() -> None:
    now = figures(Rows(sold=[sold("50", currency="EUR"), sold("70", currency="CAD")]))
    lines = [line for line in side_by_side(now, figures(Rows()), "USD") if line.name == "Revenue"]
    assert [(line.unit, line.now, line.before, line.change) for line in lines] == [
        ("USD", 0, 0, 0),
        ("CAD", 70, 0, 70),
        ("EUR", 50, 0, 50),
    ]


def test_no_change_is_told_from_nothing() -> None:
    assert Line("Longest", "days", 5, None).change is None
    assert Line("Longest", "days", 5, 7).change == -2


def test_the_chart_has_every_month_also_the_empty_ones() -> None:
    months = [Month(2026, 4), MAY]
    assert by_month([sold("9", (("USD", D(4)),)), sold("8", currency="EUR")], months, "USD") == [
        (Month(2026, 4), D(0), D(0)),
        (MAY, D(9), D(5)),
    ]


def test_a_loss_hangs_below_the_line() -> None:
    chart = draw([(MAY, D(1000), D(-400))])
    bars = chart.columns[0]
    nought = {amount: y for y, amount in chart.ticks}[D(0)]
    assert bars.revenue.y + bars.revenue.height == pytest.approx(nought)
    assert bars.margin.y == pytest.approx(nought)
    assert bars.margin.height / bars.revenue.height == pytest.approx(0.4, abs=0.01)


amounts = st.decimals(-50_000, 2_000_000, places=2)


@given(st.lists(st.tuples(amounts, amounts), min_size=1, max_size=13))
def test_every_bar_stays_in_the_picture(pairs: list[tuple[Decimal, Decimal]]) -> None:
    chart = draw([(MAY.later(place), *pair) for place, pair in enumerate(pairs)])
    for column in chart.columns:
        for bar in (column.revenue, column.margin):
            assert bar.height >= 0
            assert bar.y >= TOP - 0.2
            assert bar.y + bar.height <= HEIGHT - BOTTOM + 0.2
    assert 2 <= len(chart.ticks) <= 7


@given(amounts, amounts)
def test_the_scale_holds_every_amount_and_nought(one: Decimal, other: Decimal) -> None:
    low, high = min(one, other, D(0)), max(one, other, D(0))
    ticks = scale(low, high)
    assert ticks[0] <= low
    assert ticks[-1] >= high
    assert D(0) in ticks


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r"])
def test_a_cell_that_a_spreadsheet_would_run_is_guarded(sign: str) -> None:
    assert guarded(f"{sign}SUM(A1)") == f"'{sign}SUM(A1)"


@pytest.mark.parametrize("text", ["", "No. 12", "a=b", "'quoted"])
def test_other_cells_stay_as_they_are(text: str) -> None:
    assert guarded(text) == text
