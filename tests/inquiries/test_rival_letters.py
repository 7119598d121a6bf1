"""Eighteen letters at one moment, in three threads, while words are dropped: every word is found, on both databases."""

import json

from tests.support.shops import Shop


def test_letters_at_one_moment_are_found_by_every_word(shop_apart: Shop) -> None:
    shop_apart.run("-m", "tests.support.writers", "prepare")
    assert json.loads(shop_apart.run("-m", "tests.support.writers", "rush")) == [], "no deed failed"
    told = json.loads(shop_apart.run("-m", "tests.support.writers", "tell"))
    assert told == {
        "messages": 18,
        "own": [True] * 18,
        "together": True,
        "unsaid": 0,
        "without a word": 0,
    }
