"""A worker that is killed while it speaks with the mail server: no mail is lost, and none goes twice by itself."""

import json
import time
from collections.abc import Iterator
from subprocess import Popen
from typing import Any

import pytest

from tests.support.mailbox import Mailbox, MailServer
from tests.support.shops import Shop

PATIENCE_SECONDS = 240


@pytest.fixture
def served() -> Iterator[tuple[Mailbox, dict[str, str]]]:
    """A mail server, and what a program needs in its environment to send through it."""
    box = Mailbox()
    server = MailServer(box)
    server.start()
    try:
        yield box, {"SHOP_MAIL_HOST": "127.0.0.1", "SHOP_MAIL_PORT": str(server.port), "SHOP_MAIL_TLS": "no"}
    finally:
        box.release()
        server.stop()


def told(shop: Shop) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(shop.run("-m", "tests.support.mails", "told"))
    return found


def until(shop: Shop, state: str) -> dict[str, Any]:
    """What the shop thinks once it thinks that."""
    end = time.monotonic() + PATIENCE_SECONDS
    while (found := told(shop))["state"] != state:
        assert time.monotonic() < end, found
    return found


def kill(worker: Popen[str]) -> None:
    worker.kill()
    worker.communicate()


def stop(worker: Popen[str]) -> None:
    worker.terminate()
    worker.communicate(timeout=20)


def test_killed_while_the_server_holds_the_text_it_is_told_and_sent_again_only_by_a_press(
    shop_apart: Shop, served: tuple[Mailbox, dict[str, str]]
) -> None:
    box, environment = served
    shop_apart.lease_seconds = 2
    shop_apart.run("-m", "tests.support.mails", "ask")
    box.holding = True
    worker = shop_apart.start("manage.py", "worker", environment=environment)
    try:
        assert box.has_one.wait(PATIENCE_SECONDS)
    finally:
        kill(worker)
    assert told(shop_apart)["state"] == "sending"
    box.release()
    worker = shop_apart.start("manage.py", "worker", environment=environment)
    try:
        state = until(shop_apart, "unsure")
        assert "may have gone" in state["why"]
        time.sleep(1)
        assert len(box.wires) == 1
        shop_apart.run("-m", "tests.support.mails", "again")
        until(shop_apart, "sent")
    finally:
        stop(worker)
    assert box.wires == [state["wire"].encode("ascii")] * 2
    assert len({mail["Message-ID"] for mail in box.received}) == 1


def test_killed_while_the_server_has_not_greeted_it_goes_by_itself_and_once(
    shop_apart: Shop, served: tuple[Mailbox, dict[str, str]]
) -> None:
    box, environment = served
    shop_apart.lease_seconds = 2
    shop_apart.run("-m", "tests.support.mails", "ask")
    box.greeting_after, before = 60.0, box.greeted
    worker = shop_apart.start("manage.py", "worker", environment=environment)
    try:
        end = time.monotonic() + PATIENCE_SECONDS
        while box.greeted == before:
            assert time.monotonic() < end
            time.sleep(0.05)
    finally:
        kill(worker)
    assert told(shop_apart)["state"] == "waiting"
    box.greeting_after = 0.0
    worker = shop_apart.start("manage.py", "worker", environment=environment)
    try:
        state = until(shop_apart, "sent")
    finally:
        stop(worker)
    assert box.wires == [state["wire"].encode("ascii")]
    assert told(shop_apart)["jobs"] == ["done"]
