"""Several desks at one moment, any deed in any order on the same few pieces: nothing is lost, nothing is false."""

import json
from collections import Counter

from tests.support.shops import Shop

DESKS, SECONDS = 4, 12
FEWEST = 15


def test_desks_in_each_other_s_way_leave_books_that_add_up(shop_apart: Shop) -> None:
    folder = shop_apart.data / "desks"
    folder.mkdir()
    shop_apart.run("-m", "tests.support.desks", "open", str(folder))
    desks = [
        shop_apart.start("-m", "tests.support.desks", "work", str(folder), str(seed), str(SECONDS))
        for seed in range(DESKS)
    ]
    # The audit goes through the books while they work: it reads as of one instant and is in nobody's way.
    while any(desk.poll() is None for desk in desks):
        seen = json.loads(shop_apart.run("-m", "tests.support.desks", "look", str(folder)))
        assert seen["audit"] == []

    said = Counter[str]()
    for desk in desks:
        out, errors = desk.communicate(timeout=240)
        assert desk.returncode == 0, errors
        said.update(json.loads(out))
    seen = json.loads(shop_apart.run("-m", "tests.support.desks", "look", str(folder)))
    print("\n", seen["confirmed"], "confirmed;", sum(said.values()), "tried")
    assert [seen["audit"], seen["wrong"]] == [[], []]
    assert seen["confirmed"] >= FEWEST
