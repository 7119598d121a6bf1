"""What is next in a sale, whose move it is, and until when. Common practice, no source."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from inquiries.review.next_of_sale import LINES
from inquiries.sales.rules import SaleFacts, Stage, stage
from inquiries.sales.way_rules import SAYS, WHO, Deadlines, Next, Who, next_move, paid_off, what_next
from tests.factories import NOON

HOUR = timedelta(hours=1)
FULL = {"charged": Decimal(100), "paid": Decimal(100)}
OUT = {"shipped_at": NOON - 9 * HOUR, "delivered_at": NOON - 8 * HOUR}


def facts(**given: Any) -> SaleFacts:
    """The facts of a sale of 100 with 48 hours of approval."""
    usual = {"charged": Decimal(100), "paid": Decimal(20), "uncleared": Decimal(0), "approval_hours": 48}
    return SaleFacts(**usual | given)


@pytest.mark.parametrize(
    ("given", "due", "who", "until", "over"),
    [
        ({}, Deadlines(), Who.BUYER, None, False),
        ({}, Deadlines(balance=NOON + HOUR), Who.BUYER, NOON + HOUR, False),
        ({}, Deadlines(balance=NOON), Who.BUYER, NOON, True),
        (FULL | {"uncleared": Decimal(20)}, Deadlines(), Who.BANK, None, False),
        (FULL, Deadlines(balance=NOON - HOUR), Who.DESK, None, False),
        (FULL | {"shipped_at": NOON}, Deadlines(), Who.CARRIER, None, False),
        (FULL | OUT, Deadlines(), Who.BUYER, NOON + 40 * HOUR, False),
        (FULL | OUT | {"approval_hours": 8}, Deadlines(), Who.DESK, None, False),
        (OUT, Deadlines(), Who.BUYER, None, False),
        (
            FULL | {"shipped_at": NOON, "lost_at": NOON, "paid": Decimal(0)},
            Deadlines(),
            Who.OWNER,
            None,
            False,
        ),
        (FULL | OUT | {"returning_at": NOON}, Deadlines(), Who.BUYER, None, False),
        (FULL | OUT | {"returning_at": NOON, "inspected_at": NOON}, Deadlines(), Who.OWNER, None, False),
        (FULL | OUT | {"outcome": "closed"}, Deadlines(), Who.NOBODY, None, False),
        (FULL | OUT | {"outcome": "closed"}, Deadlines(payout_waits=True), Who.OWNER, None, False),
        (
            FULL | OUT | {"outcome": "closed"},
            Deadlines(payout_waits=True, payout=NOON - HOUR),
            Who.OWNER,
            NOON - HOUR,
            True,
        ),
    ],
)
def test_whose_move_it_is(given: dict[str, Any], due: Deadlines, who: Who, until: object, over: bool) -> None:
    move = next_move(facts(**given), due, at=NOON)
    assert (move.who, move.until, move.over) == (who, until, over)
    assert move.what.endswith(".")


OVER = FULL | {"paid": Decimal(130)}
NOT_FINAL = {"uncleared": Decimal(30)}
SENT = {"shipped_at": NOON - HOUR}
GONE = SENT | {"lost_at": NOON}
KEPT = OUT | {"approval_hours": 8}
COMING = OUT | {"returning_at": NOON}


@pytest.mark.parametrize(
    ("given", "following"),
    [
        ({}, Next.BALANCE),
        (NOT_FINAL, Next.BALANCE),
        (FULL, Next.PACK),
        (FULL | NOT_FINAL, Next.CLEAR),
        (OVER, Next.REFUND),
        (OVER | NOT_FINAL, Next.CLEAR),
        (SENT, Next.BALANCE),
        (FULL | SENT, Next.DELIVERY),
        (FULL | SENT | NOT_FINAL, Next.DELIVERY),
        (OVER | SENT, Next.REFUND),
        (GONE, Next.LOST),
        (FULL | GONE | NOT_FINAL, Next.LOST),
        (OVER | GONE, Next.LOST),
        (FULL | OUT, Next.APPROVAL),
        (OUT, Next.BALANCE),
        (OVER | OUT, Next.REFUND),
        (OVER | OUT | NOT_FINAL, Next.CLEAR),
        (FULL | KEPT, Next.CLOSE),
        (FULL | KEPT | NOT_FINAL, Next.CLEAR),
        (COMING, Next.LOOK),
        (OVER | COMING, Next.LOOK),
        (COMING | {"inspected_at": NOON}, Next.SETTLE),
        (FULL | KEPT | {"outcome": "closed"}, Next.NOTHING),
        ({"outcome": "fell-through"}, Next.NOTHING),
    ],
)
def test_what_is_next(given: dict[str, Any], following: Next) -> None:
    assert what_next(facts(**given), at=NOON) == following


def test_each_move_has_its_words_on_the_page_and_on_today() -> None:
    assert set(SAYS) == set(WHO) == set(Next)
    assert set(LINES) == set(Next) - {Next.BALANCE, Next.NOTHING}


def test_every_open_stage_has_a_move_and_a_mover() -> None:
    seen = set()
    sent = FULL | {"shipped_at": NOON}
    lost = sent | {"lost_at": NOON}
    for given in ({}, FULL, sent, lost, FULL | OUT, FULL | OUT | {"approval_hours": 1}):
        for more in ({}, {"returning_at": NOON}, {"returning_at": NOON, "inspected_at": NOON}):
            found = facts(**given | more)
            seen.add(stage(found, at=NOON))
            assert next_move(found, Deadlines(), at=NOON).who != Who.NOBODY
    assert seen == set(Stage) - {Stage.CLOSED, Stage.RETURNED, Stage.FELL_THROUGH}


@pytest.mark.parametrize(
    ("amounts", "row"),
    [
        ([100, -100], 1),
        ([100, -20, -80], 2),
        ([100, -20], None),
        ([100, -100, 100, -100], 3),  # the first payment was reversed
        ([100, -100, 30], None),
        ([100, -120, 20], 1),
    ],
)
def test_when_it_was_paid_in_full(amounts: list[int], row: int | None) -> None:
    rows = [(NOON + place * HOUR, Decimal(amount)) for place, amount in enumerate(amounts)]
    assert paid_off(rows) == (None if row is None else NOON + row * HOUR)
