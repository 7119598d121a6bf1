"""Two processes, many hands: one paper of a kind for each sale, numbers without a gap, one file of each."""

import json
from collections import Counter

from tests.support.shops import Shop

SALES, HANDS = 5, 4  # as tests/support/papermakers.py has them
MADE, SHOWN = 302, 200  # a press that is refused shows the page again


def hands(shop: Shop, *orders: tuple[str, ...]) -> Counter[int]:
    """What all hands were answered; each order is a process."""
    started = [shop.start("-m", "tests.support.papermakers", *order) for order in orders]
    answers: Counter[int] = Counter()
    for process in started:
        out, errors = process.communicate(timeout=240)
        assert process.returncode == 0, errors
        answers.update(json.loads(out))
    return answers


def test_many_hands_issue_each_paper_once_and_make_each_file_once(shop_apart: Shop) -> None:
    shop_apart.run("-m", "tests.support.papermakers", "prepare")

    answers = hands(shop_apart, ("press", "0", "2"), ("press", "2", str(HANDS)))
    # Hands 0 and 1 are one press sent twice, hands 2 and 3 another: one of the two is first, the other is refused.
    assert answers == {MADE: 2 * SALES, SHOWN: 2 * SALES}

    assert hands(shop_apart, ("look",), ("look",)) == {SHOWN: 2 * HANDS * SALES}
    numbers, rows, kept = json.loads(shop_apart.run("-m", "tests.support.papermakers", "tell"))
    year = numbers[0][1:5]
    assert numbers == [f"I{year}-{place:04}" for place in range(1, SALES + 1)]
    assert rows == [name for name in kept if name.startswith("i")]
    assert len(rows) == SALES
    assert not [name for name in kept if name.endswith(".part")]
