"""Two processes at once: many acceptances of one piece, many ends of one offer, many offers of one person."""

import json
from collections import Counter

from tests.support.shops import Shop

BUYERS = 8


def test_rivals_leave_one_hold_and_one_end_to_each_offer(shop_apart: Shop) -> None:
    shop_apart.run("-m", "tests.support.bidders", "prepare")
    rushes = [
        shop_apart.start("-m", "tests.support.bidders", "rush", first, last)
        for first, last in (("0", "14"), ("14", "28"))
    ]
    ends = [(rush.communicate(timeout=240), rush.returncode) for rush in rushes]
    assert [code for _, code in ends] == [0, 0], ends
    said = [tuple(answer) for (out, _), _ in ends for answer in json.loads(out)]
    told = json.loads(shop_apart.run("-m", "tests.support.bidders", "tell"))
    counted = Counter(said)
    first, second, third = told["offers"]

    # Who meant it has a place; of those who did not, at most one came first, and the others were told.
    assert counted[("meant", "done")] == BUYERS // 2
    assert counted[("free", "done")] + counted[("free", "taken")] == BUYERS // 2
    assert counted[("free", "done")] <= 1
    places = BUYERS // 2 + counted[("free", "done")]
    assert told["holds"] == ["active"] + ["queued"] * (places - 1)
    assert told["accepted"] == sorted(told["holds"])
    assert Counter(how for _, how in first) == Counter({"accepted": places, "": BUYERS - places})

    ended = {code: many for (name, code), many in counted.items() if name == "end"}
    [(_, how)] = second
    assert ended == {"done": 1, how: 11}

    assert counted[("make", "done")] == 8
    assert sorted(entry for entry, _ in third) == [f"third-{number}" for number in range(4)]
    assert Counter(how for _, how in third) == {"replaced": 3, "": 1}
    assert len(said) == 28
