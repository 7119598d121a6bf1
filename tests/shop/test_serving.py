"""One command runs the site and the worker, and keeps what is there."""

import signal
import socket
import sys
import time
import urllib.request
from urllib.error import URLError

import pytest

from tests.support.postgres import free_port
from tests.support.shops import Shop

OPEN_SHOP = """
import django; django.setup()
from tests.factories import ShopFactory
ShopFactory(name="Kept from before")
"""
PATIENCE_SECONDS = 60
SERVE = {
    "SHOP_MODE": "shop",
    "SHOP_SECRET_KEY": "a key that is long enough for a shop that is open",
    "SHOP_HOSTS": "127.0.0.1",
    "SHOP_MAIL_HOST": "127.0.0.1",
    "SHOP_HTTPS": "no",
}


def front_page(port: int) -> str:
    """The front page, once the server answers."""
    end = time.monotonic() + PATIENCE_SECONDS
    while True:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5) as answer:
                return str(answer.read().decode())
        except (URLError, ConnectionError):
            assert time.monotonic() < end, "the server did not answer"
            time.sleep(0.2)


@pytest.mark.parametrize("command", ["demo", "serve"])
def test_a_start_keeps_the_data_serves_it_and_stops_when_told(command: str, shop_on_sqlite: Shop) -> None:
    shop, port = shop_on_sqlite, free_port()
    shop.run("-c", OPEN_SHOP)
    running = shop.start("manage.py", command, "--port", str(port), environment=SERVE)
    try:
        assert "Kept from before" in front_page(port)
    finally:
        running.send_signal(signal.SIGTERM)
        said, errors = running.communicate(timeout=30)
    assert running.returncode == 0, errors
    assert f"http://127.0.0.1:{port}/" in said


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux tells a part that its parent has died")
def test_when_the_shop_is_killed_its_parts_end_and_the_port_is_free(shop_on_sqlite: Shop) -> None:
    shop, port = shop_on_sqlite, free_port()
    shop.run("-c", OPEN_SHOP)
    running = shop.start("manage.py", "serve", "--port", str(port), environment=SERVE)
    try:
        assert "Kept from before" in front_page(port)
    finally:
        running.kill()
        # Its parts write where it wrote, so this returns when the last of them has ended.
        running.communicate(timeout=PATIENCE_SECONDS)
    assert not is_open(port)


def is_open(port: int) -> bool:
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0
