"""kill -9 in the middle of every kind of deed, two hundred times: what was confirmed is there once, and all adds up."""

import json

from tests.support.shops import Shop

KILLS = 200  # on each database
KINDS = 15


def test_a_kill_in_the_middle_of_a_deed_loses_nothing_that_was_confirmed(shop_apart: Shop) -> None:
    folder = shop_apart.data / "desks"
    folder.mkdir()
    shop_apart.run("-m", "tests.support.desks", "open", str(folder))

    told = json.loads(
        shop_apart.run("-m", "tests.support.desks", "killed", str(folder), "one", str(KILLS), timeout=600)
    )

    seen = json.loads(shop_apart.run("-m", "tests.support.desks", "look", str(folder)))
    print("\n", sum(told["killed"].values()), "killed in the middle,", seen["confirmed"], "confirmed:", told)
    assert [seen["audit"], seen["wrong"]] == [[], []]
    assert sum(told["killed"].values()) >= KILLS
    assert len(told["killed"]) >= KINDS
    assert seen["confirmed"] > 0
