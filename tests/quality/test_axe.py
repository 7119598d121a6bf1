"""No page has a fault that axe-core finds: in light and in dark, on a wide screen and on a phone."""

from collections.abc import Callable
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import BrowserContext, Page

from tests.quality.tools import tool
from tests.support.browser import PHONE, WIDE

NewContext = Callable[..., BrowserContext]

AT_THE_DESK = (("light", WIDE), ("dark", PHONE))
ON_THE_STREET = (*AT_THE_DESK, ("light", PHONE), ("dark", WIDE))
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
# It would read style sheets anew for an experimental rule that is not asked for, in a way that the policy forbids.
ASK = f"axe.run(document, {{runOnly: {TAGS!r}, resultTypes: ['violations'], preload: false}})"


@pytest.fixture
def axe() -> str:
    return tool("axe-core", "axe.min.js").read_text(encoding="utf-8")


def test_no_page_has_a_fault_that_axe_finds(
    axe: str, live_server: Any, new_context: NewContext, owner: Client, pages: dict[str, bytes]
) -> None:
    faults = []
    stranger, owners = (new_context(reduced_motion="reduce").new_page() for _ in range(2))
    log_in(owners, owner, live_server.url)
    for path in pages:
        page = owners if path.startswith("/desk/") else stranger
        page.goto(live_server.url + path)
        # The debugger's own way in: the site's policy is in force, and no script of the page gets past it.
        page.evaluate(axe)
        for scheme, size in AT_THE_DESK if page is owners else ON_THE_STREET:
            page.emulate_media(color_scheme=scheme)
            page.set_viewport_size(size)
            faults += found_by_axe(page, f"{path} {scheme} {size['width']}")
    assert not faults, "\n".join(faults)


def log_in(page: Page, client: Client, site: str) -> None:
    """Give the browser the log-in of `client`."""
    name = settings.SESSION_COOKIE_NAME
    page.context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": site}])


def found_by_axe(page: Page, where: str) -> list[str]:
    """Each violation in a sentence, with the first elements that have it."""
    answer = page.evaluate(ASK)
    return [
        f"{where}: {violation['id']}: {violation['help']}: "
        + " | ".join(
            f"{' '.join(map(str, node['target']))} {node['html'][:120]} ({node['failureSummary'][:300]})"
            for node in violation["nodes"][:4]
        )
        for violation in answer["violations"]
    ]
