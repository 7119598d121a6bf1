"""A real Chromium, the system's own, watched while it works.

A test asks for `page` (or `new_context` for a second person) and for `live_server`. Whatever the
browser complains about (a blocked script or style, an uncaught error) and every request to another
host fails the test that caused it.
"""

import os
import shutil
from collections.abc import Callable, Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import BrowserContext, ConsoleMessage, Request, WebError

from tests.support.programs import missing

FLAGS = [
    "--no-sandbox",  # root and most containers cannot make the sandbox
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WIDE = {"width": 1280, "height": 900}
PHONE = {"width": 390, "height": 844}
ALIKE_EVERYWHERE = {"viewport": WIDE, "locale": "en-US", "timezone_id": "UTC"}
OWN_HOSTS = {"127.0.0.1", "localhost"}


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Start the system's Chromium; nothing is ever downloaded."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        missing("Chromium")
    # Playwright keeps an event loop in this thread until the run ends, and Django would then refuse every query here
    # as unsafe, though no code of ours runs inside the loop.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    return {**browser_type_launch_args, "executable_path": chromium, "args": FLAGS}


@pytest.fixture(scope="session")
def base_url() -> None:
    """No base for addresses: the plugin's own fixture of this name is written in a way pytest warns of."""


class Watch:
    """What went wrong in the contexts it follows, in sentences."""

    def __init__(self) -> None:
        self.faults: list[str] = []

    def follow(self, context: BrowserContext) -> BrowserContext:
        """Listen to every page of `context`, also those opened later."""
        context.on("console", self._console)
        context.on("weberror", self._error)
        context.on("request", self._request)
        return context

    def _console(self, message: ConsoleMessage) -> None:
        # An answer such as 404 or 422 also prints an error line; the tests judge answers themselves.
        if message.type == "error" and not message.text.startswith("Failed to load resource"):
            self.faults.append(f"the console said: {message.text}")

    def _error(self, error: WebError) -> None:
        self.faults.append(f"a script failed: {error.error}")

    def _request(self, request: Request) -> None:
        address = urlsplit(request.url)
        if address.scheme in {"http", "https", "ws", "wss"} and address.hostname not in OWN_HOSTS:
            self.faults.append(f"another host was asked: {request.url}")


@pytest.fixture
def browser_watch() -> Iterator[Watch]:
    """The watch over this test's contexts; a test that provokes a fault on purpose clears `faults`."""
    watch = Watch()
    yield watch
    if watch.faults:
        pytest.fail("In the browser, " + "; ".join(watch.faults), pytrace=False)


@pytest.fixture
def new_context(
    request: pytest.FixtureRequest,
    browser_watch: Watch,
    new_context: Callable[..., BrowserContext],
) -> Callable[..., BrowserContext]:
    """Open one more person's browser, such as `new_context(viewport=PHONE)`; each is watched."""
    marker = request.node.get_closest_marker("browser_context_args")
    marked = marker.kwargs if marker else {}
    defaults = {name: value for name, value in ALIKE_EVERYWHERE.items() if name not in marked}
    return lambda **options: browser_watch.follow(new_context(**{**defaults, **options}))
