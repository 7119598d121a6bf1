"""The whole shop running: the worker prepares what came in, and the server hands it out in parts."""

import http.client
import signal
import time

from tests.shop.test_serving import PATIENCE_SECONDS, SERVE, front_page
from tests.support.postgres import free_port
from tests.support.shops import Shop

TAKE_IN = """
import django; django.setup()
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from catalog.recordings.actions import receive_recording
from tests.factories import InstrumentFactory, ShopFactory
from tests.support.sounds import wav
ShopFactory()
upload = SimpleUploadedFile("tune.wav", wav(seconds=20))
print(receive_recording(InstrumentFactory(listed=True), upload, by=None, at=timezone.now()).address)
"""


def asked(port: int, method: str, address: str, **headers: str) -> tuple[int, dict[str, str], bytes]:
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        line.request(
            method, address, headers={name.replace("_", "-"): value for name, value in headers.items()}
        )
        answer = line.getresponse()
        return answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()
    finally:
        line.close()


def test_what_came_in_is_prepared_and_served_in_parts(shop_on_sqlite: Shop) -> None:
    shop, port = shop_on_sqlite, free_port()
    address = shop.run("-c", TAKE_IN).split()[-1]
    running = shop.start("manage.py", "serve", "--port", str(port), environment=SERVE)
    try:
        front_page(port)
        end = time.monotonic() + PATIENCE_SECONDS
        while asked(port, "HEAD", address)[0] != 200:
            assert time.monotonic() < end, "the worker did not prepare it"
            time.sleep(0.2)
        _, _, whole = asked(port, "GET", address)
        part = asked(port, "GET", address, Range="bytes=100000-199999")
        head = asked(port, "HEAD", address)
        beyond = asked(port, "GET", address, Range="bytes=9000000-")
    finally:
        running.send_signal(signal.SIGTERM)
        running.communicate(timeout=30)
    assert len(whole) > 300_000
    assert (part[0], part[2]) == (206, whole[100_000:200_000])
    assert part[1]["content-range"] == f"bytes 100000-199999/{len(whole)}"
    assert (head[0], head[1]["content-length"], head[2]) == (200, str(len(whole)), b"")
    assert (beyond[0], beyond[1]["content-range"]) == (416, f"bytes */{len(whole)}")
