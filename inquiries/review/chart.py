"""Where the bars of the chart stand, from values alone. Lengths are in the picture's own units."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shop.months import Month

WIDTH, HEIGHT = 720, 260
LEFT, RIGHT, TOP, BOTTOM = 64, 8, 12, 28
STEPS = (1, 2, 5, 10)
MOST_TICKS = 5


@dataclass(frozen=True)
class Bar:
    """One bar."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class Column:
    """A month's two bars and its name below."""

    month: Month
    centre: float
    revenue: Bar
    margin: Bar


@dataclass(frozen=True)
class Chart:
    """Everything the picture is drawn from. `ticks` are (height in the picture, amount)."""

    columns: list[Column]
    ticks: list[tuple[float, Decimal]]
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT


def draw(points: Sequence[tuple[Month, Decimal, Decimal]]) -> Chart:
    """The bars of revenue and margin for each of `points`; a margin below nought hangs below the line."""
    amounts = [amount for _, revenue, margin in points for amount in (revenue, margin)]
    ticks = scale(min([*amounts, Decimal(0)]), max([*amounts, Decimal(0)]))
    low, high = ticks[0], ticks[-1]

    def level(amount: Decimal) -> float:
        share = (amount - low) / (high - low)
        return round(TOP + float(1 - share) * (HEIGHT - TOP - BOTTOM), 1)

    def bar(x: float, width: float, amount: Decimal) -> Bar:
        ends = sorted((level(amount), level(Decimal(0))))
        return Bar(round(x, 1), ends[0], round(width, 1), round(ends[1] - ends[0], 1))

    room = (WIDTH - LEFT - RIGHT) / len(points)
    columns = []
    for place, (month, revenue, margin) in enumerate(points):
        x = LEFT + place * room
        columns.append(
            Column(
                month,
                round(x + room / 2, 1),
                bar(x + room * 0.14, room * 0.36, revenue),
                bar(x + room * 0.5, room * 0.36, margin),
            )
        )
    return Chart(columns, [(level(tick), tick) for tick in ticks])


def scale(low: Decimal, high: Decimal) -> list[Decimal]:
    """Round amounts from below `low` to above `high`, nought among them, no more than a handful of steps."""
    size = max(high - low, Decimal(1))
    power = Decimal(10) ** (size.adjusted() - 1)
    step = next(power * factor for factor in _factors() if size <= power * factor * (MOST_TICKS - 1))
    first, last = (
        int((low / step).to_integral_value("ROUND_FLOOR")),
        int((high / step).to_integral_value("ROUND_CEILING")),
    )
    return [step * place for place in range(first, max(last, first + 1) + 1)]


def _factors() -> list[int]:
    return [factor * ten for ten in (1, 10, 100) for factor in STEPS]
