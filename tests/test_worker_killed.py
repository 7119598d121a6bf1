"""What the worker was doing when it was killed is done again, and finished exactly once."""

import json
import time
from subprocess import Popen
from typing import Any

from tests.support.shops import Shop

PHOTOGRAPHS = 10
PATIENCE_SECONDS = 90


def told(shop: Shop) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(shop.run("-m", "tests.support.kills", "told"))
    return found


def wait_until_ready(shop: Shop, at_least: int) -> dict[str, Any]:
    end = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < end:
        state = told(shop)
        if state["ready"] >= at_least:
            return state
    raise AssertionError(f"only {state['ready']} ready after {PATIENCE_SECONDS} s")


def worker(shop: Shop) -> Popen[str]:
    return shop.start("manage.py", "worker")


def test_a_killed_worker_loses_nothing_and_nothing_is_finished_twice(shop_apart: Shop) -> None:
    shop_apart.lease_seconds = 2
    shop_apart.run("-m", "tests.support.kills", "receive", str(PHOTOGRAPHS))
    killed = 0
    for at_least in (1, 3, 5):
        going = worker(shop_apart)
        try:
            wait_until_ready(shop_apart, at_least)
        finally:
            going.kill()
            going.communicate()
        killed += 1
    last = worker(shop_apart)
    try:
        state = wait_until_ready(shop_apart, PHOTOGRAPHS)
        time.sleep(0.5)
    finally:
        last.terminate()
        last.communicate(timeout=20)
    state = told(shop_apart)
    assert state["finished"] == PHOTOGRAPHS
    assert state["jobs"] == ["done"] * PHOTOGRAPHS
    assert state["tries"] <= PHOTOGRAPHS + killed
    assert state["prints missing"] == []
