"""Every public page is walked by the Tab key alone: all that can be pressed is reached, and shows that it is."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page

from tests.factories import ShopFactory
from tests.support.browser import PHONE, WIDE
from tests.world import World, build_world

NewContext = Callable[..., BrowserContext]

MOST = 400  # presses; a page that needs more than this has caught the keyboard
# What can be pressed or typed in and is seen, numbered in the order of the page. Of a group of radio buttons the Tab
# key reaches one; the parts of a player are the browser's own.
NUMBER = """() => {
    const all = [...document.querySelectorAll(
        'a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex="0"], audio, video'
    )].filter(one => !one.disabled && one.tabIndex >= 0 && one.checkVisibility({visibilityProperty: true}));
    const groups = new Set();
    const counted = all.filter(one => {
        if (one.type !== 'radio') return true;
        if (groups.has(one.name)) return false;
        groups.add(one.name);
        return true;
    });
    counted.forEach((one, place) => { one.dataset.walk = place; });
    return counted.map(one => `${one.tagName} ${one.textContent.trim() || one.name || one.className}`);
}"""
HERE = """() => {
    const one = document.activeElement;
    if (!one || one === document.body) return null;
    const group = one.type === 'radio' ? [...document.getElementsByName(one.name)] : [one];
    const place = group.map(each => each.dataset.walk).find(each => each !== undefined);
    const style = getComputedStyle(one);
    const player = ['AUDIO', 'VIDEO'].includes(one.tagName);
    const seen = player || style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
    return {place: place === undefined ? -1 : Number(place), seen};
}"""


@pytest.fixture
def world(live_server: Any) -> World:
    ShopFactory()
    return build_world()


def walk(page: Page) -> list[dict[str, Any]]:
    """Where each press of the Tab key leads, until it has left the page."""
    steps = []
    for _ in range(MOST):
        page.keyboard.press("Tab")
        here = page.evaluate(HERE)
        if here is None:
            return steps
        steps.append(here)
    raise AssertionError(f"{page.url} does not let the keyboard go")


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_the_tab_key_reaches_all_of_a_public_page(
    size: dict[str, int], live_server: Any, new_context: NewContext, world: World
) -> None:
    page = new_context(viewport=size).new_page()
    listed, sold = world.listed.get_absolute_url(), world.sold.get_absolute_url()
    asking = f"/instruments/{world.listed.stock_id}/ask/"
    for path in ("/", "/instruments/", listed, sold, "/sold/", "/makers/", "/about/", asking, "/wanted/"):
        page.goto(live_server.url + path)
        names = page.evaluate(NUMBER)
        steps = walk(page)
        places = [step["place"] for step in steps if step["place"] >= 0]
        missed = [name for place, name in enumerate(names) if place not in places]
        assert missed == [], path
        firsts = list(dict.fromkeys(places))
        assert firsts == sorted(firsts), f"{path} is walked in the order of the page"
        unseen = [names[step["place"]] for step in steps if step["place"] >= 0 and not step["seen"]]
        assert unseen == [], path
