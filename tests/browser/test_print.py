"""Public pages on paper: a listing on one or two pages, without what can only be clicked."""

import io
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.urls import reverse
from PIL import Image
from playwright.sync_api import BrowserContext, Page, Route

from catalog.instruments.addresses import maker_address, model_address
from catalog.models import Instrument
from demo_fixtures.load import load_shop
from tests.demo_fixtures.conftest import quickly
from tests.support.papers import Paper

NewContext = Callable[..., BrowserContext]
PAPERS = ("Letter", "A4")
FULLEST = 4


@pytest.fixture
def open_page(
    live_server: Any, new_context: NewContext, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[str], Page]]:
    """Opens a page of the invented shop; every picture is one plain upright plate."""
    monkeypatch.setattr("demo_fixtures.photographs.draw_all", quickly)
    load_shop(say=lambda words: None)
    out = io.BytesIO()
    Image.new("RGB", (600, 800), "#a86").save(out, "JPEG")

    def fulfil(route: Route) -> None:
        route.fulfill(body=out.getvalue(), content_type="image/jpeg")

    page = new_context().new_page()
    page.route("**/pictures/**", fulfil)

    def opened(path: str) -> Page:
        page.goto(f"{live_server.url}{path}")
        return page

    yield opened
    page.context.close()


def printed(page: Page, paper: str) -> Paper:
    return Paper(page.pdf(format=paper, prefer_css_page_size=False))


def fullest() -> list[Instrument]:
    """The public pieces of which most is said."""
    found = Instrument.objects.public().prefetch_related(
        "findings", "dating", "provenance", "unusual", "papers"
    )
    return sorted(found, key=_words, reverse=True)[:FULLEST]


def _words(piece: Instrument) -> int:
    rows = [*piece.findings.all(), *piece.dating.all(), *piece.provenance.all(), *piece.unusual.all()]
    said = [
        getattr(row, name, "") for row in rows for name in ("evidence", "note", "says", "source", "public")
    ]
    return sum(map(len, [piece.story, piece.condition, piece.setup, *said]))


def test_public_pages_are_printed_without_what_is_clicked_and_a_listing_on_two_at_most(
    open_page: Callable[[str], Page],
) -> None:
    # The invented shop is loaded once, which takes its time.
    for piece in fullest():
        a_listing_takes_two_pages_at_most(open_page(piece.get_absolute_url()), piece)
    piece = next(one for one in fullest() if one.model and one.model.usual.exists())
    assert piece.model is not None
    for path, told in (
        (maker_address(piece.model.maker), "Numbers and their years"),
        (model_address(piece.model), "Usual on this model"),
        (reverse("makers-list"), piece.model.maker.name),
        (reverse("sold"), "Sold archive"),
    ):
        paper = printed(open_page(path), "A4")
        assert told in paper.text
        assert "Skip to the content" not in paper.text
        assert paper.pages <= 4, path


def a_listing_takes_two_pages_at_most(page: Page, piece: Instrument) -> None:
    for size in PAPERS:
        paper = printed(page, size)
        assert paper.pages <= 2, f"{piece} on {size}"
        for told in (f"No. {piece.stock_id}", "Originality, part by part", "Condition", "Where it has been"):
            assert told in paper.text, told
        assert piece.get_absolute_url() in paper.text.replace(" ", ""), "where it can be found again"
        for clicked in ("Skip to the content", "Send", "Sold archive", "More by", "See the picture"):
            assert clicked not in paper.text, clicked
