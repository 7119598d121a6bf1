"""The page of photographs in a real browser: one line for each file, in the order of the choosing."""

import io
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Page, Route, expect

from catalog.models import Photograph
from shop.jobs.worker import drain
from tests.factories import PASSWORD, InstrumentFactory, StaffFactory

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def folders(settings: Any, tmp_path: Path) -> None:
    settings.ORIGINALS_DIR = tmp_path / "originals"
    settings.PRINTS_DIR = tmp_path / "prints"


def jpeg(shade: int, width: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (width, 600), (40 * shade, 90, 60)).save(out, "JPEG")
    return out.getvalue()


@pytest.fixture
def opened(page: Page, live_server: Any) -> Page:
    """The page of photographs of a new record, opened by a helper."""
    StaffFactory(username="nell")
    instrument = InstrumentFactory()
    page.goto(live_server.url + reverse("pictures", args=[instrument.stock_id]))
    page.fill("[name=username]", "nell")
    page.fill("[name=password]", PASSWORD)
    page.click("main button")
    page.wait_for_url("**/pictures/")
    return page


def names_on(page: Page) -> list[str]:
    return page.locator(".print-line > span:first-child").all_inner_texts()


def wait_for_order(page: Page, names: list[str]) -> None:
    """The order is sent by itself after the last file, so it may come a moment after the page shows it."""
    kept = Photograph.objects.order_by("position").values_list("original_name", flat=True)
    for _ in range(100):
        if list(kept.all()) == names:
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"kept as {list(kept.all())}, not as {names}")


def test_of_two_sent_together_the_later_may_be_kept_first_and_answered_last(opened: Page) -> None:
    page = opened
    on_the_way: list[Route] = []

    def crossed(route: Route) -> None:
        on_the_way.append(route)
        if len(on_the_way) == 2:
            first, second = on_the_way
            kept_first, kept_second = second.fetch(), first.fetch()
            first.fulfill(response=kept_second)
            second.fulfill(response=kept_first)

    page.route("**/pictures/send/", crossed)
    files: list[Any] = [
        {"name": f"{n}.jpg", "mimeType": "image/jpeg", "buffer": jpeg(n, 600)} for n in (1, 2)
    ]
    page.set_input_files("#id_files", files)
    expect(page.locator(".upload-done")).to_have_count(2)
    assert names_on(page) == ["1.jpg", "2.jpg"]
    wait_for_order(page, ["1.jpg", "2.jpg"])


def test_files_are_sent_one_by_one_and_become_ready_by_themselves(opened: Page) -> None:
    page = opened
    # The first is by far the largest, so the second overtakes it on the way.
    files: list[Any] = [
        {"name": f"{n}.jpg", "mimeType": "image/jpeg", "buffer": jpeg(n, 9000 if n == 1 else 600)}
        for n in (1, 2, 3)
    ]
    files.insert(1, {"name": "bad.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"})
    page.set_input_files("#id_files", files)
    expect(page.locator(".upload-done")).to_have_count(3)
    expect(page.locator(".upload-refused")).to_contain_text("bad.jpg is not a photograph that can be read.")
    assert names_on(page) == ["1.jpg", "2.jpg", "3.jpg"]
    drain()
    expect(page.locator(".print img")).to_have_count(3, timeout=8000)
    wait_for_order(page, ["1.jpg", "2.jpg", "3.jpg"])
    page.reload()
    assert names_on(page) == ["1.jpg", "2.jpg", "3.jpg"]


def test_the_mouse_moves_a_picture_and_the_order_is_kept(opened: Page) -> None:
    page = opened
    files: list[Any] = [
        {"name": f"{n}.jpg", "mimeType": "image/jpeg", "buffer": jpeg(n, 600)} for n in (1, 2, 3)
    ]
    page.set_input_files("#id_files", files)
    expect(page.locator(".upload-done")).to_have_count(3)
    drain()
    expect(page.locator(".print img")).to_have_count(3, timeout=8000)
    before = names_on(page)
    plates = page.locator(".print-plate")
    with page.expect_response("**/pictures/order/"):
        plates.nth(0).drag_to(plates.nth(2), target_position={"x": 150, "y": 60})
    after = names_on(page)
    assert after == [before[1], before[2], before[0]]
    page.reload()
    assert names_on(page) == after
