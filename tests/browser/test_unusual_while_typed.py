"""A difference is found while it is typed, and judged before the one save, by keyboard alone."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from catalog.models import Instrument, SeenFeature, Unusual, UsualFeature
from tests.factories import PASSWORD, InstrumentFactory, OwnerFactory, ShopFactory

NewContext = Callable[..., BrowserContext]


@pytest.fixture
def piece(live_server: Any) -> Instrument:
    ShopFactory()
    OwnerFactory(username="ada")
    instrument = InstrumentFactory()
    for what, value in [("Armrest", "Wire"), ("Tailpiece", "Plain")]:
        UsualFeature.objects.create(model=instrument.model, what=what, value=value, source="Price list")
    return instrument


def opened(live_server: Any, new_context: NewContext, piece: Instrument, **more: Any) -> Page:
    page = new_context(**more).new_page()
    page.goto(f"{live_server.url}/desk/stock/{piece.stock_id}/unusual/")
    page.fill("[name=username]", "ada")
    page.fill("[name=password]", PASSWORD)
    page.get_by_role("button", name="Log in", exact=True).click()
    expect(page.get_by_role("heading", name="What is unusual")).to_be_visible()
    return page


def test_typed_compared_judged_saved(live_server: Any, new_context: NewContext, piece: Instrument) -> None:
    page = opened(live_server, new_context, piece)
    tailpiece = page.get_by_role("group", name="Tailpiece")
    tailpiece.get_by_label("On this one").focus()
    page.keyboard.type("plain")
    expect(tailpiece.get_by_text("As usual.")).to_be_visible()
    page.keyboard.type(" with stars")
    expect(tailpiece.get_by_text("This differs.")).to_be_visible()
    page.keyboard.press("Tab")
    page.keyboard.type("F")
    page.keyboard.press("Tab")
    page.keyboard.type("So in the order book")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_text("What is unusual: saved.")).to_be_visible()
    assert SeenFeature.objects.get().value == "plain with stars"
    kept = Unusual.objects.get()
    assert (kept.seen, kept.verdict, kept.evidence) == ("plain with stars", "factory", "So in the order book")


def test_without_scripts_the_same_takes_two_saves(
    live_server: Any, new_context: NewContext, piece: Instrument
) -> None:
    page = opened(live_server, new_context, piece, java_script_enabled=False)
    tailpiece = page.get_by_role("group", name="Tailpiece")
    tailpiece.get_by_label("On this one").fill("Pierced")
    page.get_by_role("button", name="Save").click()
    expect(tailpiece.get_by_text("This differs.")).to_be_visible()
    tailpiece.get_by_label("What we make of it").select_option("Not known which")
    page.get_by_role("button", name="Save").click()
    expect(tailpiece.get_by_label("What we make of it")).to_have_value("unknown")
    assert Unusual.objects.get().seen == "Pierced"
