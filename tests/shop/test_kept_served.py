"""Two web processes and the worker agree on what is kept: the shop served as it is, on both databases."""

import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection, HTTPResponse

from tests.support.postgres import free_port
from tests.support.presses import wait_for_answer
from tests.support.shops import Shop

BEGIN = "import django; django.setup()\nfrom tests.factories import *\nfrom django.utils import timezone\n"
OPEN = BEGIN + "ShopFactory(); print(InstrumentFactory(listed=True).get_absolute_url())"
HOLD = """
from inquiries.sales.hold_actions import place_hold
piece = Instrument.objects.get()
place_hold(piece, InquiryFactory(instrument=piece), by=None, at=timezone.now())
"""
PHOTOGRAPH = """
from io import BytesIO
from PIL import Image
from django.core.files.uploadedfile import SimpleUploadedFile
from catalog.pictures.actions import receive_photograph
out = BytesIO(); Image.new("RGB", (900, 700), "#a86").save(out, "JPEG")
upload = SimpleUploadedFile("front.jpg", out.getvalue(), "image/jpeg")
receive_photograph(Instrument.objects.get(), upload, by=None, at=timezone.now())
"""
TIMES = 24  # so often that each process has answered
PATIENCE_SECONDS = 90


@contextmanager
def served(shop: Shop) -> Iterator[int]:
    port = free_port()
    with (shop.data / "served.log").open("a") as log:
        running = shop.start("-m", "tests.support.kills", "serve", str(port), stdout=log, stderr=log)
    try:
        wait_for_answer(port)
        yield port
    finally:
        running.send_signal(signal.SIGTERM)
        running.wait(timeout=30)


def ask(port: int, path: str, method: str = "GET") -> tuple[HTTPResponse, str]:
    """An answer on a connection of its own."""
    connection = HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request(method, path)
    answer = connection.getresponse()
    body = answer.read().decode()
    connection.close()
    return answer, body


def bodies(port: int, path: str) -> list[str]:
    return [ask(port, path)[1] for _ in range(TIMES)]


def test_every_process_shows_what_was_just_changed(shop_apart: Shop) -> None:
    path = shop_apart.run("-c", OPEN).strip()
    with served(shop_apart) as port:
        assert not any("On hold" in body for body in bodies(port, path))
        shop_apart.run("-c", BEGIN + HOLD)
        assert all("On hold" in body for body in bodies(port, path))
        shop_apart.run("-c", BEGIN + PHOTOGRAPH)
        deadline = time.monotonic() + PATIENCE_SECONDS
        while "<picture>" not in ask(port, path)[1]:
            assert time.monotonic() < deadline, "the worker has made no prints"
            time.sleep(0.2)
        assert all("<picture>" in body for body in bodies(port, path))
        head, nothing = ask(port, path, "HEAD")
        got, body = ask(port, path)
        assert (nothing, head.getheader("Content-Length")) == ("", str(len(body.encode())))
        assert head.getheader("ETag") == got.getheader("ETag")
