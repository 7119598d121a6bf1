"""Instalments worked out and how they stand. Common practice, no source."""

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from inquiries.instalments.rules import (
    Due,
    State,
    in_default,
    next_due,
    objection,
    overdue,
    schedule,
    standing,
)
from shop.days import months_on

FIRST = date(2026, 1, 31)
PLAN = [Due(date(2026, 1, 31), 334), Due(date(2026, 2, 28), 333), Due(date(2026, 3, 31), 333)]


def test_a_schedule_by_hand() -> None:
    assert schedule(1000, 3, FIRST) == PLAN


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.integers(0, 120))
def test_months_are_those_of_another_library(day: date, months: int) -> None:
    """The referee is dateutil's relativedelta."""
    assert months_on(day, months) == day + relativedelta(months=months)


@given(st.integers(1, 10**9), st.integers(1, 60), st.dates(date(2020, 1, 1), date(2060, 1, 1)))
def test_a_schedule_adds_up_and_its_days_rise(total: int, count: int, first: date) -> None:
    if total < count:
        with pytest.raises(ValueError, match="not enough"):
            schedule(total, count, first)
        return
    made = schedule(total, count, first)
    assert sum(due.minor for due in made) == total
    assert [due.on for due in made] == sorted({due.on for due in made})
    assert max(due.minor for due in made) - min(due.minor for due in made) < count
    assert objection(made, balance=total, today=first, last_allowed=made[-1].on) == ""


@pytest.mark.parametrize(
    ("paid", "on", "states"),
    [
        (0, date(2026, 1, 30), [State.AHEAD, State.AHEAD, State.AHEAD]),
        (0, date(2026, 1, 31), [State.DUE, State.AHEAD, State.AHEAD]),
        (0, date(2026, 2, 1), [State.LATE, State.AHEAD, State.AHEAD]),
        (0, date(2026, 2, 7), [State.LATE, State.AHEAD, State.AHEAD]),
        (0, date(2026, 2, 8), [State.DEFAULT, State.AHEAD, State.AHEAD]),
        (333, date(2026, 2, 8), [State.DEFAULT, State.AHEAD, State.AHEAD]),
        (334, date(2026, 2, 28), [State.PAID, State.DUE, State.AHEAD]),
        (1000, date(2027, 1, 1), [State.PAID, State.PAID, State.PAID]),
    ],
)
def test_how_each_stands(paid: int, on: date, states: list[State]) -> None:
    assert [row.state for row in standing(PLAN, paid, on=on, grace=7)] == states


@given(st.integers(-100, 1500), st.dates(date(2026, 1, 1), date(2026, 6, 1)), st.integers(0, 30))
def test_what_came_in_is_shared_out_once_and_paying_more_never_makes_it_worse(
    paid: int, on: date, grace: int
) -> None:
    rows = standing(PLAN, paid, on=on, grace=grace)
    assert sum(row.paid for row in rows) == min(max(paid, 0), 1000)
    assert all(0 <= row.paid <= row.due.minor for row in rows)
    more = standing(PLAN, paid + 1, on=on, grace=grace)
    assert overdue(more) <= overdue(rows)
    assert not in_default(more) or in_default(rows)
    later = standing(PLAN, paid, on=on + timedelta(days=1), grace=grace)
    assert overdue(later) >= overdue(rows)
    following = next_due(rows)
    assert (following is None) == (paid >= 1000)


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        ([], "no instalment"),
        ([Due(FIRST, 1000)], ""),
        ([Due(FIRST, 999)], "add up"),
        ([Due(FIRST, 1000), Due(FIRST + timedelta(days=1), 0)], "above nought"),
        ([Due(FIRST, 500), Due(FIRST, 500)], "later day"),
        ([Due(FIRST - timedelta(days=31), 1000)], "before today"),
        ([Due(date(2026, 7, 1), 1000)], "30 June 2026"),
    ],
)
def test_why_a_plan_cannot_be_agreed(plan: list[Due], said: str) -> None:
    found = objection(plan, balance=1000, today=date(2026, 1, 15), last_allowed=date(2026, 6, 30))
    assert (said in found) if said else found == ""
