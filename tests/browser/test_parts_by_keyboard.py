"""A whole sheet filled by keyboard alone, one key a part, in a real browser."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from catalog.models import Finding, Instrument, Paper, Part
from tests.factories import NOON, PASSWORD, InstrumentFactory, OwnerFactory, PhotographFactory, ShopFactory

NewContext = Callable[..., BrowserContext]


class Keyboard:
    """The keyboard of one page, which counts what is pressed."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.pressed = 0

    def press(self, *keys: str) -> None:
        """Press one key after the other."""
        for key in keys:
            self.page.keyboard.press(key)
            self.pressed += 1


@pytest.fixture
def instrument(live_server: Any) -> Instrument:
    ShopFactory()
    return InstrumentFactory()


@pytest.fixture
def open_parts(live_server: Any, new_context: NewContext, instrument: Instrument) -> Page:
    """The parts of one banjo, opened by the owner."""
    OwnerFactory(username="ada")
    page = new_context().new_page()
    page.goto(f"{live_server.url}/desk/stock/{instrument.stock_id}/parts/")
    page.fill("[name=username]", "ada")
    page.fill("[name=password]", PASSWORD)
    page.get_by_role("button", name="Log in", exact=True).click()
    expect(page.locator("#part-rim")).to_be_focused()
    return page


def leaves(instrument: Instrument) -> list[Part]:
    return list(Part.objects.filter(kind=instrument.kind, children=None))


def kept(instrument: Instrument) -> dict[str, tuple[str, str]]:
    rows = Finding.objects.filter(instrument=instrument)
    return {row.part.slug: (row.state, row.seen) for row in rows.select_related("part")}


def save(page: Page, keyboard: Keyboard, *keys: str) -> None:
    with page.expect_navigation():
        keyboard.press(*keys)
    expect(page.get_by_text("Originality: saved.")).to_be_visible()


def test_every_part_takes_one_key_and_saving_one_more(open_parts: Page, instrument: Instrument) -> None:
    keyboard, parts = Keyboard(open_parts), leaves(instrument)
    keyboard.press(*["o"] * len(parts))
    expect(open_parts.locator("#parts-count")).to_have_text(f"{len(parts)} of {len(parts)}")
    save(open_parts, keyboard, "Enter")
    assert keyboard.pressed == len(parts) + 1
    assert kept(instrument) == {part.slug: ("original", "eye") for part in parts}


def test_each_key_says_its_state_and_rows_passed_by_have_no_row(
    open_parts: Page, instrument: Instrument
) -> None:
    keyboard = Keyboard(open_parts)
    # Rim, tone ring, (flange passed by), resonator, head, tension hoop, hooks, nuts of the hooks, brackets …
    keyboard.press("o", "n", "ArrowDown", "r", "l", "p", "f", "c", "m", "u")
    save(open_parts, keyboard, "Control+s")
    assert keyboard.pressed == 11
    assert kept(instrument) == {
        "rim": ("original", "eye"),
        "tone-ring": ("never-fitted", "eye"),
        "resonator": ("repaired", "eye"),
        "head": ("later", "eye"),
        "tension-hoop": ("period", "eye"),
        "hooks": ("refinished", "eye"),
        "hook-nuts": ("reproduction", "eye"),
        "brackets": ("missing", ""),
        "neck-wood": ("unknown", ""),
    }


def test_a_key_is_taken_back_by_another_and_held_down_says_one_thing(
    open_parts: Page, instrument: Instrument
) -> None:
    keyboard = Keyboard(open_parts)
    keyboard.press("o", "ArrowUp", "x", "ArrowUp")
    expect(open_parts.locator("#part-rim")).to_be_focused()
    expect(open_parts.locator("#parts-said")).to_have_text("Rim: not examined")
    open_parts.keyboard.down("l")
    for _ in range(5):
        open_parts.keyboard.down("l")
    open_parts.keyboard.up("l")
    expect(open_parts.locator("#parts-said")).to_have_text("Rim: later replacement, seen")
    expect(open_parts.locator("#part-tone-ring")).to_be_focused()
    save(open_parts, keyboard, "Control+s")
    assert kept(instrument) == {"rim": ("later", "eye")}


def test_fields_take_letters_as_letters_and_escape_leads_back(
    open_parts: Page, instrument: Instrument
) -> None:
    keyboard = Keyboard(open_parts)
    keyboard.press("Enter")
    expect(open_parts.locator("#id_rim-state")).to_be_focused()
    keyboard.press("Tab", "Tab")
    expect(open_parts.locator("#id_rim-evidence")).to_be_focused()
    open_parts.keyboard.type("normal or plump colour")
    expect(open_parts.locator("#id_rim-evidence")).to_have_value("normal or plump colour")
    expect(open_parts.locator("#id_rim-state")).to_have_value("not-examined")
    keyboard.press("Escape")
    expect(open_parts.locator("#part-rim")).to_be_focused()
    keyboard.press("o")
    save(open_parts, keyboard, "Control+s")
    # How we know was said already, so the key says nothing about how it was seen.
    finding = Finding.objects.get(instrument=instrument)
    assert (finding.state, finding.seen, finding.evidence) == ("original", "", "normal or plump colour")


def test_the_evidence_of_a_replaced_part_is_linked_by_keyboard_alone(
    live_server: Any, new_context: NewContext, instrument: Instrument
) -> None:
    """A picture that shows it, a paper that says so, and the original that travels along; every press is counted."""
    picture = PhotographFactory(instrument=instrument, caption="Tuners from the back")
    paper = Paper.objects.create(
        instrument=instrument, title="Repair invoice", token="7" * 32, received_at=NOON
    )
    OwnerFactory(username="ada")
    page = new_context().new_page()
    page.goto(f"{live_server.url}/desk/stock/{instrument.stock_id}/parts/")
    page.fill("[name=username]", "ada")
    page.fill("[name=password]", PASSWORD)
    page.get_by_role("button", name="Log in", exact=True).click()
    expect(page.locator("#part-rim")).to_be_focused()
    page.locator("#part-tuners").focus()
    keyboard = Keyboard(page)
    # Later; back to the row; into its fields, past them to “More”, which Enter opens.
    keyboard.press("l", "ArrowUp", "Enter", "Tab", "Tab", "Tab", "Enter")
    keyboard.press("Tab", "Tab")
    expect(page.locator("#id_tuners-photograph")).to_be_focused()
    keyboard.press("1", "Tab", "R")
    keyboard.press(*["Tab"] * 5, "Space", "Tab")
    expect(page.locator("#id_tuners-original_where")).to_be_focused()
    keyboard.press(*"In the case")
    save(page, keyboard, "Control+s")
    assert keyboard.pressed == 31, "twenty, and the eleven letters of where it lies"
    found = Finding.objects.get(instrument=instrument)
    assert (found.part.slug, found.state, found.seen) == ("tuners", "later", "eye")
    assert (found.photograph, found.paper) == (picture, paper)
    assert (found.original_kept, found.original_where) == (True, "In the case")


def test_what_is_wrong_stands_open_and_is_mended_by_keyboard(
    open_parts: Page, instrument: Instrument
) -> None:
    keyboard = Keyboard(open_parts)
    open_parts.locator("#part-nut summary").click()
    open_parts.locator("#id_nut-when").fill("the year of the flood")
    open_parts.locator("#part-nut").focus()
    keyboard.press("l")
    with open_parts.expect_navigation():
        keyboard.press("Control+s")
    assert kept(instrument) == {}
    expect(open_parts.get_by_role("alert")).to_contain_text("cannot be read as a date")
    expect(open_parts.locator("#id_nut-when")).to_be_visible()
    expect(open_parts.locator("#id_nut-state")).to_have_value("later")
    open_parts.get_by_role("alert").get_by_role("link").click()
    expect(open_parts.locator("#id_nut-when")).to_be_focused()
    open_parts.keyboard.press("Control+a")
    open_parts.keyboard.type("c. 1970")
    save(open_parts, keyboard, "Control+s")
    assert kept(instrument) == {"nut": ("later", "eye")}


def test_without_scripts_the_rows_are_a_plain_form(
    live_server: Any, new_context: NewContext, instrument: Instrument
) -> None:
    OwnerFactory(username="ada")
    page = new_context(java_script_enabled=False, viewport={"width": 390, "height": 844}).new_page()
    page.goto(f"{live_server.url}/desk/stock/{instrument.stock_id}/parts/")
    page.fill("[name=username]", "ada")
    page.fill("[name=password]", PASSWORD)
    page.get_by_role("button", name="Log in", exact=True).click()
    assert not page.locator("#parts-keys").is_visible(), "keys that do nothing are not shown"
    row = page.get_by_role("group", name="Rim")
    row.get_by_label("State").select_option(label="Original")
    row.get_by_label("How it was seen").select_option(label="Seen with a loupe")
    page.locator("#parts-save").click()
    expect(page.get_by_text("Originality: saved.")).to_be_visible()
    assert kept(instrument) == {"rim": ("original", "loupe")}
