"""One command runs the site and the worker, and keeps what is there."""

import signal
import time
import urllib.request
from pathlib import Path
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
def test_a_start_keeps_the_data_serves_it_and_stops_when_told(command: str, tmp_path: Path) -> None:
    shop, port = Shop(tmp_path), free_port()
    shop.migrate()
    shop.run("-c", OPEN_SHOP)
    running = shop.start("manage.py", command, "--port", str(port), environment=SERVE)
    try:
        assert "Kept from before" in front_page(port)
    finally:
        running.send_signal(signal.SIGTERM)
        said, errors = running.communicate(timeout=30)
    assert running.returncode == 0, errors
    assert f"http://127.0.0.1:{port}/" in said
