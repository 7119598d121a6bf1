"""Presses at one moment, on both databases: one first call, and everybody told once."""

import json

from tests.support.shops import Shop


def test_presses_at_one_moment_open_one_first_call_and_tell_once(shop_apart: Shop) -> None:
    shop_apart.run("-m", "tests.support.callers", "prepare")
    said = json.loads(shop_apart.run("-m", "tests.support.callers", "rush"))
    assert said == ["done"] * 12
    stands = json.loads(shop_apart.run("-m", "tests.support.callers", "tell"))
    assert stands["first calls"] == 1
    assert stands["said"] == ["no", "nothing", "not-told"]
    assert stands["by mail"][0]
    # The second was told by whichever press came first: one mail, or none and a word otherwise.
    assert stands["mails"] == [1, int(stands["by mail"][1]), 0]
