"""No page has a fault that axe-core finds: in light and in dark, on a wide screen and on a phone."""

from collections.abc import Callable, Sequence
from typing import Any, Literal

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import BrowserContext, Page, ViewportSize, expect

from tests.quality.pages import FORMS, LOG_IN
from tests.quality.tools import tool
from tests.support.browser import PHONE, WIDE
from tests.world import World

NewContext = Callable[..., BrowserContext]

Looks = Sequence[tuple[Literal["light", "dark"], ViewportSize]]
AT_THE_DESK: Looks = (("light", WIDE), ("dark", PHONE))
ON_THE_STREET: Looks = (*AT_THE_DESK, ("light", PHONE), ("dark", WIDE))
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
# It would read style sheets anew for an experimental rule that is not asked for, in a way that the policy forbids.
ASK = f"axe.run(document, {{runOnly: {TAGS!r}, resultTypes: ['violations'], preload: false}})"


@pytest.fixture
def axe() -> str:
    return tool("axe-core", "axe.min.js").read_text(encoding="utf-8")


def test_no_page_has_a_fault_that_axe_finds(
    axe: str,
    live_server: Any,
    new_context: NewContext,
    world: World,
    owner: Client,
    pages: dict[str, bytes],
) -> None:
    faults = []
    stranger, owners = (new_context(reduced_motion="reduce").new_page() for _ in range(2))
    log_in(owners, owner, live_server.url)
    for path in pages:
        page = owners if path.startswith("/desk/") and path != LOG_IN else stranger
        page.goto(live_server.url + path)
        faults += found_by_axe(page, axe, path, AT_THE_DESK if page is owners else ON_THE_STREET)
    for form in FORMS:
        path = form.format(stock=world.listed.stock_id)
        send_nothing(stranger, live_server.url + path)
        faults += found_by_axe(stranger, axe, f"{path}, sent empty,", ON_THE_STREET)
    assert not faults, "\n".join(faults)


def log_in(page: Page, client: Client, site: str) -> None:
    """Give the browser the log-in of `client`."""
    name = settings.SESSION_COOKIE_NAME
    page.context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": site}])


def send_nothing(page: Page, address: str) -> None:
    """Send the form of a page as it is, past the browser's own look at it."""
    page.goto(address)
    form = page.locator("main form[method=post]")
    form.evaluate("form => { form.noValidate = true; }")
    with page.expect_navigation():
        form.get_by_role("button").click()
    expect(page.locator(".errorlist").first).to_be_visible()


def found_by_axe(page: Page, axe: str, where: str, looks: Looks) -> list[str]:
    """Each violation in a sentence, in each of the looks."""
    # The debugger's own way in: the site's policy is in force, and no script of the page gets past it.
    page.evaluate(axe)
    faults = []
    for scheme, size in looks:
        page.emulate_media(color_scheme=scheme)
        page.set_viewport_size(size)
        faults += violations(page, f"{where} {scheme} {size['width']}")
    return faults


def violations(page: Page, where: str) -> list[str]:
    """What is wrong, with the first elements that have it."""
    answer = page.evaluate(ASK)
    return [
        f"{where}: {violation['id']}: {violation['help']}: "
        + " | ".join(
            f"{' '.join(map(str, node['target']))} {node['html'][:120]} ({node['failureSummary'][:300]})"
            for node in violation["nodes"][:4]
        )
        for violation in answer["violations"]
    ]
