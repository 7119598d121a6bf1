"""A restart of server and worker at any point loses nothing that a person was told was saved."""

import json
import os
import random
import signal
import subprocess
import threading
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from decimal import Decimal
from functools import partial
from typing import Any

from tests.factories import PASSWORD
from tests.support.postgres import free_port
from tests.support.presses import Browser, Hand, Payment, Upload, wait_for_answer
from tests.support.shops import Shop

PRICE, FIRST = Decimal(90_000), Decimal(1)
ROUNDS = 5
PATIENCE_SECONDS = 90


@contextmanager
def running(shop: Shop, port: int) -> Iterator[None]:
    """The site and its worker as they are served; at the end all of it is killed at once."""
    with (shop.data / "served.log").open("a") as log:
        served = shop.start(
            "-m", "tests.support.kills", "serve", str(port),
            stdout=log, stderr=log, start_new_session=True,
        )  # fmt: skip
    try:
        wait_for_answer(port)
        yield
    finally:
        for process in family(served.pid):
            with suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
        served.wait()


def family(ancestor: int) -> list[int]:
    """A process and all that came of it, parents first: killed in this order, nobody starts a child again."""
    told = subprocess.run(["ps", "-A", "-o", "pid=,ppid="], capture_output=True, text=True, check=True)
    children = defaultdict(list)
    for process, parent in (map(int, line.split()) for line in told.stdout.splitlines()):
        children[parent].append(process)
    found = [ancestor]
    for process in found:
        found.extend(children[process])
    return found


def kills(shop: Shop, *command: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(shop.run("-m", "tests.support.kills", *command))
    return found


def press_and_be_killed(
    shop: Shop, port: int, hands: list[Hand], cookies: dict[str, str], chance: random.Random
) -> None:
    """Every hand presses as fast as it can; after some presses, at any moment, everything is killed."""
    enough = saved(hands) + chance.randint(2, 16)
    threads = []
    with running(shop, port):
        if not cookies:
            cookies |= logged_in(port)
        for hand in hands:
            threads.append(threading.Thread(target=hand.press_on, args=[Browser(port, cookies)]))
            threads[-1].start()
        wait_until(lambda: saved(hands) >= enough or wrong(hands) != [])
        time.sleep(chance.uniform(0, 0.3))
    for thread in threads:
        thread.join(PATIENCE_SECONDS)
    assert wrong(hands) == []


def press_again_and_finish(
    shop: Shop, port: int, hands: list[Hand], cookies: dict[str, str]
) -> dict[str, Any]:
    """What was left unanswered is pressed again, twice; the worker gets the time it needs; the books then."""
    books: dict[str, Any] = {}

    def finished() -> bool:
        books.update(kills(shop, "books"))
        return {state for _, state in books["jobs"]} == {"done"}

    with running(shop, port):
        for hand in hands:
            browser = Browser(port, cookies)
            hand.press_twice(browser)
            browser.close()
        assert wrong(hands) == []
        wait_until(finished)
    return books


def logged_in(port: int) -> dict[str, str]:
    browser = Browser(port)
    try:
        return browser.log_in("ada", PASSWORD)
    finally:
        browser.close()


def saved(hands: list[Hand]) -> int:
    return sum(len(hand.saved) for hand in hands)


def wrong(hands: list[Hand]) -> list[str]:
    return [word for hand in hands for word in hand.wrong]


def wait_until(so: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE_SECONDS
    while not so():
        assert time.monotonic() < end, f"not so after {PATIENCE_SECONDS} s"
        time.sleep(0.02)


def test_nothing_that_was_told_as_saved_is_lost_when_everything_is_killed(shop_apart: Shop) -> None:
    shop_apart.lease_seconds = 2
    chance, port, cookies = random.Random(20), free_port(), dict[str, str]()
    counter = kills(shop_apart, "counter", str(PRICE))
    seeds = [random.Random(chance.random()) for _ in range(4)]
    uploads = [Hand(partial(Upload.drawn, counter["stock"], seed)) for seed in seeds[:2]]
    payments = [Hand(partial(Payment.drawn, counter["sale"], seed)) for seed in seeds[2:]]
    for _ in range(ROUNDS):
        press_and_be_killed(shop_apart, port, uploads + payments, cookies, chance)
    books = press_again_and_finish(shop_apart, port, uploads + payments, cookies)
    assert [hand.broken for hand in uploads + payments] == [ROUNDS] * 4
    check_photographs(books, uploads)
    check_ledger(books, payments)


def check_photographs(books: dict[str, Any], hands: list[Hand]) -> None:
    """Each photograph once, its original unharmed, its prints made, its arrival noted once."""
    photographs = books["photographs"]
    told = {mark: name for hand in hands for mark, name in hand.saved.items()}
    assert Counter((one["sha256"], one["name"]) for one in photographs) == Counter(told.items())
    assert [one["name"] for one in photographs if one["on disk"] != one["sha256"]] == []
    assert [one["name"] for one in photographs if one["state"] != "ready" or not one["prints"]] == []
    assert [path for one in photographs for path in one["prints missing"]] == []
    assert books["noted"] == len(told)
    assert [job for job in books["jobs"] if job[0] == "pictures"] == [["pictures", "done"]] * len(told)


def check_ledger(books: dict[str, Any], hands: list[Hand]) -> None:
    """Each payment once, each with its receipt, the receipts without a gap, and the balance to the cent."""
    rows = [row for row in books["rows"] if row["entry"] != "0" * 32]
    told = {mark: amount for hand in hands for mark, amount in hand.saved.items()}
    assert Counter((row["entry"], row["received"]) for row in rows) == Counter(told.items())
    assert [row for row in books["rows"] if _amount(row["receipt says"]) != Decimal(row["received"])] == []
    numbers = sorted(int(row["receipt"].partition("-")[2]) for row in books["rows"])
    assert numbers == list(range(1, len(told) + 2))
    assert [job for job in books["jobs"] if job[0] == "papers"] == [["papers", "done"]] * len(numbers)
    assert Decimal(books["balance"]) == PRICE - FIRST - sum(map(Decimal, told.values()))


def _amount(written: str) -> Decimal:
    return Decimal(written.removeprefix("$"))
