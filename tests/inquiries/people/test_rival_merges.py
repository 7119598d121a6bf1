"""Two merges, a dozen questions and six holds of one person at one moment, on both databases."""

import json
from collections import Counter

from tests.support.shops import Shop

PIECES = 6  # as many as tests/support/mergers.py prepares


def test_merges_and_questions_at_one_moment_lose_nothing(shop_apart: Shop) -> None:
    shop_apart.run("-m", "tests.support.mergers", "prepare")
    said = Counter(json.loads(shop_apart.run("-m", "tests.support.mergers", "rush")))
    told = json.loads(shop_apart.run("-m", "tests.support.mergers", "tell"))
    assert said == {"done": 1 + 3 * PIECES, "refused: merged": 1}, "one of the two merges, and every question"
    assert told == {
        "second round": 0,
        "left behind": 0,
        "open": PIECES,
        "pieces": PIECES,
        "holds": PIECES,
        "asked": 2 * PIECES,
        "kept by": 2 * PIECES,
    }
