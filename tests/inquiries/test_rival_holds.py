"""Two processes, a hundred buyers, one instrument; and one hold that many make longer at once."""

import json
from collections import Counter
from datetime import datetime, timedelta
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


def test_of_many_who_make_a_hold_longer_at_once_one_does(shop_apart: Shop) -> None:
    shop_apart.run("-m", "tests.support.rivals", "promise")
    before = json.loads(shop_apart.run("-m", "tests.support.rivals", "tell"))

    rushes = [shop_apart.start("-m", "tests.support.rivals", "extend", "8") for _ in range(2)]
    answers = []
    for rush in rushes:
        out, errors = rush.communicate(timeout=240)
        assert rush.returncode == 0, errors
        answers += json.loads(out)

    assert Counter(answers) == {REDIRECT: 1, 200: 15}
    running, waiting = json.loads(shop_apart.run("-m", "tests.support.rivals", "tell"))
    longer = timedelta(hours=running["extended_hours"])
    assert timedelta(hours=1) <= longer <= timedelta(hours=8)
    for now, old in zip((running, waiting), before, strict=True):
        assert datetime.fromisoformat(now["until"]) - datetime.fromisoformat(old["until"]) == longer
    assert waiting["starts_at"] == running["until"]
    assert waiting["extended_hours"] == 0
