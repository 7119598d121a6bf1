"""The photographs full-screen: by keys, by touch, by wheel, with and without scripts."""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image
from playwright.sync_api import BrowserContext, Locator, Page, expect

from catalog.models import Finding, Instrument, Part
from catalog.pictures.actions import receive_photograph
from shop.jobs.worker import drain
from tests.factories import NOON, InstrumentFactory, ShopFactory
from tests.support.browser import PHONE

NewContext = Callable[..., BrowserContext]
MOST_BYTES_OF_SCRIPT = 10 * 1024


@pytest.fixture
def piece(live_server: Any, settings: Any, tmp_path: Path) -> Instrument:
    """Three photographs: one with more in it than its prints, which is evidence for the rim, and two small ones."""
    settings.ORIGINALS_DIR, settings.PRINTS_DIR = tmp_path / "originals", tmp_path / "prints"
    ShopFactory()
    instrument = InstrumentFactory(listed=True)
    for shade, size in [("#845", (3600, 2700)), ("#485", (900, 1200)), ("#458", (900, 1200))]:
        out = io.BytesIO()
        Image.new("RGB", size, shade).save(out, "JPEG", quality=20)
        receive_photograph(instrument, SimpleUploadedFile("x.jpg", out.getvalue()), by=None, at=NOON)
    drain()
    lead, second, third = instrument.photographs.order_by("pk")
    for photograph, caption in [(lead, "The front"), (second, "The back"), (third, "The head")]:
        instrument.photographs.filter(pk=photograph.pk).update(caption=caption)
    rim = Part.objects.get(kind=instrument.kind, slug="rim")
    Finding.objects.create(
        instrument=instrument, part=rim, state="original", evidence="Seen", examined_at=NOON, photograph=third
    )
    return instrument


def opened(live_server: Any, new_context: NewContext, piece: Instrument, **more: Any) -> Page:
    page = new_context(**more).new_page()
    page.goto(live_server.url + piece.get_absolute_url())
    return page


def gallery(page: Page) -> Locator:
    return page.get_by_role("dialog", name="Photographs of no. ")


def scale_of(page: Page) -> float:
    """How much larger the picture stands than fits."""
    return float(page.locator(".gallery img").evaluate("image => new DOMMatrix(image.style.transform).a"))


def until(page: Page, seen: Callable[[], bool]) -> None:
    """Wait for what the page comes to show; its policy lets no test wait for it inside."""
    for _ in range(100):
        if seen():
            return
        page.wait_for_timeout(100)
    pytest.fail("it did not come")


def place_of(page: Page) -> list[float]:
    """How far the picture was moved to the right and down."""
    return list(
        page.locator(".gallery img").evaluate(
            "image => { const at = new DOMMatrix(image.style.transform); return [at.e, at.f]; }"
        )
    )


def test_by_keys_alone(live_server: Any, new_context: NewContext, piece: Instrument) -> None:
    page = opened(live_server, new_context, piece)
    lead = page.locator("#picture-0 > a")
    lead.focus()
    page.keyboard.press("Enter")
    shown = gallery(page)
    expect(shown).to_be_visible()
    expect(shown.get_by_text("The front", exact=True)).to_be_visible()
    expect(shown.get_by_text("1 of 3")).to_be_visible()
    page.keyboard.press("ArrowRight")
    expect(shown.get_by_text("The back")).to_be_visible()
    page.keyboard.press("ArrowRight")
    expect(shown.get_by_text("The head")).to_be_visible()
    expect(shown.get_by_text("Evidence for: rim")).to_be_visible()
    page.keyboard.press("ArrowRight")
    expect(shown.get_by_text("1 of 3")).to_be_visible()
    page.keyboard.press("ArrowLeft")
    expect(shown.get_by_text("3 of 3")).to_be_visible()
    page.keyboard.press("Escape")
    expect(shown).not_to_be_visible()
    expect(lead).to_be_focused()
    assert page.url == live_server.url + piece.get_absolute_url(), "nothing was left"


def test_the_buttons_say_what_they_do_and_are_reached_in_turn(
    live_server: Any, new_context: NewContext, piece: Instrument
) -> None:
    page = opened(live_server, new_context, piece)
    page.locator("#picture-0 > a").click()
    shown = gallery(page)
    names = [button.inner_text() for button in shown.get_by_role("button").all()]
    assert names == ["Close", "Previous", "Next", "Enlarge", "Reduce"]
    for name in names:
        expect(shown.get_by_role("button", name=name)).to_be_focused()
        page.keyboard.press("Tab")
    shown.get_by_role("button", name="Next").click()
    expect(shown.get_by_text("2 of 3")).to_be_visible()
    shown.get_by_role("button", name="Previous").click()
    expect(shown.get_by_text("1 of 3")).to_be_visible()
    shown.get_by_role("button", name="Enlarge").click()
    assert scale_of(page) == 1.5
    shown.get_by_role("button", name="Reduce").click()
    assert scale_of(page) == 1
    shown.get_by_role("button", name="Close").click()
    expect(shown).not_to_be_visible()


def test_the_detail_takes_the_place_of_the_print_when_it_is_made(
    live_server: Any, new_context: NewContext, piece: Instrument
) -> None:
    page = opened(live_server, new_context, piece)
    page.locator("#picture-0 > a").click()
    image = page.locator(".gallery img")
    with page.expect_response("**/detail.webp") as first:
        page.keyboard.press("+")
    assert first.value.status == 202
    assert not image.evaluate("image => image.currentSrc").endswith("detail.webp"), (
        "until then the print is shown"
    )
    drain()
    expect(image).to_have_attribute(
        "src", reverse("picture-detail", args=[piece.photographs.get(lead=True).token])
    )
    until(page, lambda: image.evaluate("image => image.naturalWidth") == 3200)
    assert scale_of(page) == 1.5, "where one looked, one still looks"
    page.keyboard.press("ArrowRight")
    page.keyboard.press("0")
    assert scale_of(page) == 1


def test_an_enlarged_picture_is_moved_about_by_keys_and_at_its_edge_the_next_one_comes(
    live_server: Any, new_context: NewContext, piece: Instrument
) -> None:
    page = opened(live_server, new_context, piece)
    page.locator("#picture-0 > a").click()
    for _ in range(3):
        page.keyboard.press("+")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    right, down = place_of(page)
    assert right < 0
    assert down < 0
    expect(gallery(page).get_by_text("1 of 3")).to_be_visible()
    for _ in range(60):
        page.keyboard.press("ArrowRight")
        if "2 of 3" in gallery(page).inner_text():
            break
    assert "2 of 3" in gallery(page).inner_text()
    assert scale_of(page) == 1


def test_the_wheel_looks_closer_at_what_lies_under_the_pointer(
    live_server: Any, new_context: NewContext, piece: Instrument
) -> None:
    page = opened(live_server, new_context, piece)
    page.locator("#picture-0 > a").click()
    stage = page.locator(".gallery-stage").bounding_box()
    assert stage is not None
    x, y = stage["x"] + stage["width"] / 2 + 150, stage["y"] + stage["height"] / 2 + 100
    page.mouse.move(x, y)
    page.mouse.wheel(0, -300)
    until(page, lambda: abs(scale_of(page) - 2) < 0.01)
    right, down = place_of(page)
    assert abs(right + 150) < 1, "what lay 150 to the right lies there still"
    assert abs(down + 100) < 1
    page.mouse.down()
    page.mouse.move(x + 40, y + 30, steps=4)
    page.mouse.up()
    moved = place_of(page)
    assert abs(moved[0] - right - 40) < 1
    assert abs(moved[1] - down - 30) < 1
    for _ in range(8):
        page.mouse.wheel(0, -900)
    width = page.locator(".gallery-stage").evaluate(
        "stage => Math.min(stage.clientWidth, stage.clientHeight * 4 / 3)"
    )
    until(page, lambda: abs(scale_of(page) - 3200 / width) < 0.01)  # no closer than the detail has pixels


class Touch:
    """Fingers on the picture, as the browser itself would send them."""

    def __init__(self, page: Page) -> None:
        self.client = page.context.new_cdp_session(page)

    def send(self, kind: str, *points: tuple[float, float]) -> None:
        touched = [{"x": x, "y": y, "id": place} for place, (x, y) in enumerate(points)]
        self.client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touched})

    def drag(self, *ways: tuple[tuple[float, float], tuple[float, float]]) -> None:
        """Put a finger down for each way, and move it from its beginning to its end."""
        self.send("touchStart", *(begin for begin, _ in ways))
        for part in (0.25, 0.5, 0.75, 1):
            between = [(a + (c - a) * part, b + (d - b) * part) for (a, b), (c, d) in ways]
            self.send("touchMove", *between)
        self.send("touchEnd")


def test_by_touch_on_a_phone(live_server: Any, new_context: NewContext, piece: Instrument) -> None:
    page = opened(live_server, new_context, piece, viewport=PHONE, has_touch=True, is_mobile=True)
    page.locator("#picture-0 > a").tap()
    shown, touch = gallery(page), Touch(page)
    touch.drag(((300, 300), (80, 310)))
    expect(shown.get_by_text("2 of 3")).to_be_visible()
    touch.drag(((80, 300), (300, 310)))
    expect(shown.get_by_text("1 of 3")).to_be_visible()
    touch.drag(((200, 200), (210, 420)))
    expect(shown.get_by_text("1 of 3")).to_be_visible()
    touch.drag(((180, 300), (100, 300)), ((220, 300), (300, 300)))
    assert scale_of(page) > 2, "two fingers that part"
    expect(shown.get_by_text("1 of 3")).to_be_visible()
    touch.drag(((100, 300), (140, 340)))
    assert place_of(page)[0] > 0, "one finger moves what is enlarged"
    for _ in range(2):
        touch.send("touchStart", (200, 300))
        touch.send("touchEnd")
    until(page, lambda: scale_of(page) == 1)
    for _ in range(2):
        touch.send("touchStart", (200, 300))
        touch.send("touchEnd")
    until(page, lambda: scale_of(page) == 2.5)
    shown.get_by_role("button", name="Close").tap()
    expect(shown).not_to_be_visible()


def test_what_rests_on_a_picture_opens_it_there(
    live_server: Any, new_context: NewContext, piece: Instrument
) -> None:
    page = opened(live_server, new_context, piece)
    link = page.get_by_role("link", name="See the picture of: Rim")
    link.click()
    shown = gallery(page)
    expect(shown.get_by_text("The head")).to_be_visible()
    page.keyboard.press("Escape")
    expect(link).to_be_focused()
    page.get_by_role("link", name="The back").first.click()
    expect(shown.get_by_text("2 of 3")).to_be_visible()
    page.keyboard.press("ArrowRight")
    shown.get_by_role("link", name="rim").click()
    expect(shown).not_to_be_visible()
    assert page.url.endswith("#originality")


def test_without_scripts_a_picture_leads_to_its_largest_print(
    live_server: Any, new_context: NewContext, piece: Instrument
) -> None:
    page = opened(live_server, new_context, piece, java_script_enabled=False)
    expect(page.locator(".gallery")).not_to_be_visible()
    page.get_by_role("link", name="See the picture of: Rim").click()
    assert page.url.endswith("#picture-2")
    lead = piece.photographs.get(lead=True)
    href = page.locator("#picture-0 > a").get_attribute("href")
    assert href == reverse("picture", args=[lead.token, 1600, "jpg"])
    assert page.request.get(live_server.url + href).headers["content-type"] == "image/jpeg"


def test_all_scripts_of_a_listing_are_small(
    live_server: Any, new_context: NewContext, piece: Instrument
) -> None:
    sizes: dict[str, int] = {}
    page = new_context().new_page()
    page.on(
        "response",
        lambda answer: sizes.update({answer.url: len(answer.body())}) if answer.url.endswith(".js") else None,
    )
    page.goto(live_server.url + piece.get_absolute_url(), wait_until="networkidle")
    assert len(sizes) >= 1
    assert sum(sizes.values()) <= MOST_BYTES_OF_SCRIPT
