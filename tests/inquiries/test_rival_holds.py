"""Two processes, a hundred buyers, one instrument."""

import json
from collections import Counter
from itertools import pairwise

from tests.support.shops import Shop

REDIRECT = 302


def test_a_hundred_rivals_give_one_hold_and_a_queue_of_ninety_nine(shop_apart: Shop) -> None:
    shop_apart.run("-m", "tests.support.rivals", "prepare")

    rushes = [
        shop_apart.start("-m", "tests.support.rivals", "rush", first, last)
        for first, last in (("0", "50"), ("50", "100"))
    ]
    answers = []
    for rush in rushes:
        out, errors = rush.communicate(timeout=240)
        assert rush.returncode == 0, errors
        answers += json.loads(out)

    assert Counter(answers) == {REDIRECT: 100}
    holds = json.loads(shop_apart.run("-m", "tests.support.rivals", "tell"))
    assert [hold["state"] for hold in holds] == ["active"] + ["queued"] * 99
    assert len({hold["contact_id"] for hold in holds}) == 100
    for before, after in pairwise(holds):
        assert after["starts_at"] == before["until"]
