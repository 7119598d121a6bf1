"""The catalogue on a phone with scripts off, narrowed by keyboard alone, in a real browser."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from catalog.models import Kind
from tests.factories import InstrumentFactory, ModelFactory, ShopFactory

NewContext = Callable[..., BrowserContext]


@pytest.fixture
def phone(live_server: Any, new_context: NewContext) -> Page:
    """The catalogue of two banjos and a ukulele."""
    ShopFactory()
    for _ in range(2):
        InstrumentFactory(listed=True, asking_price=1500)
    ukulele = Kind.objects.get(slug="ukulele")
    sheets = list(ukulele.configurations.all())
    InstrumentFactory(
        listed=True,
        kind=ukulele,
        configuration_made=sheets[0],
        configuration_now=sheets[0],
        model=ModelFactory(name="Bluebell"),
    )
    page = new_context(java_script_enabled=False, viewport={"width": 390, "height": 800}).new_page()
    page.goto(f"{live_server.url}/instruments/")
    return page


def test_the_panel_folds_and_a_choice_is_made_by_keyboard(phone: Page, live_server: Any) -> None:
    banjos = phone.get_by_role("radio", name="Banjos 2")
    expect(banjos).to_be_hidden()
    phone.get_by_text("Narrow the list").focus()
    phone.keyboard.press("Enter")
    expect(banjos).to_be_visible()
    phone.get_by_role("radio", name="Any").first.focus()
    phone.keyboard.press("ArrowDown")
    expect(banjos).to_be_checked()
    phone.keyboard.press("Enter")
    expect(phone).to_have_url(f"{live_server.url}/instruments/?kind=banjo")
    expect(phone.locator(".plate")).to_have_count(2)
    expect(banjos).to_be_hidden()
    phone.get_by_role("link", name="Leave out: Kind: Banjos").click()
    expect(phone).to_have_url(f"{live_server.url}/instruments/")


def test_a_search_with_a_typing_error_finds_and_nothing_found_leads_to_a_wish(
    phone: Page, live_server: Any
) -> None:
    phone.get_by_role("searchbox", name="Search").fill("blubell")
    phone.keyboard.press("Enter")
    expect(phone).to_have_url(f"{live_server.url}/instruments/?q=blubell")
    expect(phone.locator(".plate")).to_have_count(1)
    expect(phone.get_by_text("We looked for “bluebell” instead.")).to_be_visible()
    phone.goto(f"{live_server.url}/instruments/?q=bluebell&kind=banjo")
    expect(phone.get_by_label("What you seek")).to_have_value("Bluebell; Kind: Banjos")
    phone.get_by_label("Your name").fill("Ada Quill")
    phone.get_by_label("Your e-mail address").fill("ada@post.example")
    phone.wait_for_timeout(3100)  # quicker than a person writes
    phone.get_by_role("button", name="Remember my wish").click()
    expect(phone.get_by_role("heading", name="Thank you")).to_be_visible()


def test_nothing_stands_out_of_a_narrow_page(phone: Page, live_server: Any) -> None:
    for state in ("", "?kind=banjo", "?q=zither", "?price_from=9&price_to=1&maker=nobody"):
        phone.goto(f"{live_server.url}/instruments/{state}")
        box = phone.locator("html").bounding_box()
        assert box is not None
        assert box["width"] == 390
        for part in phone.locator("main *:visible").all():
            place = part.bounding_box()
            if place and "out-of-sight" not in (part.get_attribute("class") or ""):
                assert place["x"] + place["width"] <= 391, part.inner_text()[:60]
