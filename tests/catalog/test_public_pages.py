"""The buyer's pages."""

from datetime import timedelta
from typing import Any
from xml.etree import ElementTree

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from catalog.instruments.addresses import maker_address, model_address
from catalog.instruments.grades import scale
from catalog.models import Finding, FoundNumber, Included, Instrument, Measurement, Part, Provenance
from catalog.search import shelving
from inquiries.models import Inquiry
from inquiries.sales.hold_actions import place_hold
from shop.models import ShopProfile
from tests.factories import (
    NOON,
    ContactFactory,
    InquiryFactory,
    InstrumentFactory,
    PhotographFactory,
    ShopFactory,
)

pytestmark = pytest.mark.django_db
SITEMAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"
WATERMARK = "Stock-book secret"


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    ShopFactory(about="We look at every part.", terms="Cleared money first.")


def found(client: Client, **query: Any) -> list[int]:
    """Stock numbers on the catalogue's first page."""
    answer = client.get(reverse("catalogue"), query)
    assert answer.status_code == 200
    return [card.stock for card in answer.context["cards"]]


def numbers(*instruments: Instrument) -> list[int]:
    return [instrument.stock_id for instrument in instruments]


def full_record(**fields: Any) -> Instrument:
    """A listed banjo with a row of everything."""
    instrument = InstrumentFactory(listed=True, setup="Light strings.", **fields)
    measures = {measure.slug: measure for measure in instrument.kind.measures.all()}
    Measurement.objects.create(
        instrument=instrument, measure=measures["scale-length"], amount=1680, unit="in64"
    )
    FoundNumber.objects.create(instrument=instrument, value="4037-2", where="stamped on the dowel stick")
    Included.objects.create(instrument=instrument, what="The first tuning wrench")
    rim = Part.objects.get(kind=instrument.kind, slug="rim")
    Finding.objects.create(
        instrument=instrument, part=rim, state="original", evidence="Maker's stamp", examined_at=NOON
    )
    past: dict[str, Any] = {"instrument": instrument}
    Provenance.objects.create(when="1931", kind="sold-new", public="Sold in Quillby", private="", **past)
    Provenance.objects.create(when="1974", kind="owned", public="", private=WATERMARK, **past)
    Provenance.objects.create(when="1940 to 1974", kind="out-of-sight", position=1, **past)
    return instrument


def hold(instrument: Instrument, buyers: int) -> None:
    for _ in range(buyers):
        inquiry = InquiryFactory(instrument=instrument, contact=ContactFactory(name="Wendell Pike"))
        place_hold(instrument, inquiry, by=None, at=timezone.now())


def test_front_shows_the_newest_with_a_picture_large(client: Client) -> None:
    older = InstrumentFactory(listed=True, listed_at=NOON - timedelta(days=9))
    newer = InstrumentFactory(listed=True, listed_at=NOON)
    PhotographFactory(instrument=older, lead=True)
    answer = client.get("/")
    assert answer.context["hero"].stock == older.stock_id
    assert [card.stock for card in answer.context["newest"]] == numbers(newer)
    assert "We look at every part." in answer.text


def test_an_empty_shop_says_so(client: Client) -> None:
    for name in ("front", "catalogue"):
        assert "Nothing is listed just now." in client.get(reverse(name)).text
    assert "Nothing has been sold yet." in client.get(reverse("sold")).text


def test_the_front_opens_with_the_first_paragraph_about_the_shop(client: Client) -> None:
    ShopProfile.objects.update(about="We look at every part.\r\n\r\nAnd we say so.")
    assert client.get("/").context["lede"] == "We look at every part."


def test_a_short_first_sentence_of_the_terms_stands_out_and_markup_is_only_text(client: Client) -> None:
    ShopProfile.objects.update(
        terms="Holds. Ask for <one>.\r\n\r\nWe send the instrument when it is paid. Then we write."
    )
    page = client.get(reverse("terms")).text
    assert "<p><b>Holds.</b> Ask for &lt;one&gt;.</p>" in page
    assert "<p>We send the instrument when it is paid. Then we write.</p>" in page


def test_about_and_terms_show_the_shops_own_words(client: Client) -> None:
    assert "We look at every part." in client.get(reverse("about")).text
    assert "Cleared money first." in client.get(reverse("terms")).text


def test_every_grade_has_a_meaning() -> None:
    assert [grade for grade, _ in scale()] == [grade.label for grade in Instrument.Grade]


@pytest.mark.parametrize("state", ["draft", "withdrawn"])
def test_a_draft_and_a_withdrawn_piece_are_not_there(client: Client, state: str) -> None:
    instrument = InstrumentFactory(state=state)
    assert client.get(instrument.get_absolute_url()).status_code == 404
    assert client.get(reverse("ask", args=[instrument.stock_id])).status_code == 404
    assert found(client) == []


def test_an_old_slug_leads_to_the_one_address(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    answer = client.get(reverse("listing", args=[instrument.stock_id, "an-older-name"]))
    assert (answer.status_code, answer["Location"]) == (301, instrument.get_absolute_url())


def test_a_number_never_given_is_not_there(client: Client) -> None:
    for number in ("1", "99999999999999999999999"):
        assert client.get(f"/instruments/{number}-banjo/").status_code == 404


def test_the_listing_tells_all_that_is_public(client: Client) -> None:
    instrument = full_record()
    page = client.get(instrument.get_absolute_url()).text
    leaves = Part.objects.filter(kind=instrument.kind, children__isnull=True).count()
    for told in (
        "$12,500",
        "Available",
        "Tenor, four strings",
        "Five-string",
        "Converted",
        f"1 of {leaves} parts examined",
        "26¼ in (667 mm)",
        "4037-2",
        "The first tuning wrench",
        "Sold in Quillby",
        "Out of sight",
        "Serial number within the maker&#x27;s 1931 run.",
        "Maker&#x27;s stamp",
        "Light, even wear from careful playing.",
        "Light strings.",
    ):
        assert told in page, told


def test_the_listing_keeps_what_is_private(client: Client) -> None:
    instrument = full_record(floor_price=9871)
    page = client.get(instrument.get_absolute_url())
    for secret in (WATERMARK, "9871", "9,871"):
        assert secret not in page.text
    given = {key for layer in page.context for values in layer for key in values}
    assert not {"instrument", "object"} & given


def test_pictures_come_in_three_forms_and_widths_with_their_size(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    lead = PhotographFactory(instrument=instrument, lead=True, position=5, caption="The front")
    PhotographFactory(instrument=instrument, caption="The back", position=1)
    PhotographFactory(instrument=instrument, state="waiting", caption="Not yet made")
    page = client.get(instrument.get_absolute_url())
    shown = page.context["listing"].pictures
    assert [picture.alt for picture in shown] == ["The front", "The back"]
    assert [source.type for source in shown[0].sources] == ["image/avif", "image/webp"]
    assert shown[0].srcset == ", ".join(
        f"/pictures/{lead.token}/{width}.jpg {width}w" for width in (400, 800, 1600)
    )
    assert (shown[0].width, shown[0].height) == (800, 600)
    assert 'width="800" height="600" alt="The front" fetchpriority="high"' in page.text
    assert 'alt="The back" loading="lazy"' in page.text


def test_price_on_request_is_said(client: Client) -> None:
    instrument = InstrumentFactory(listed=True, asking_price=None, price_on_request=True)
    assert "Price on request" in client.get(instrument.get_absolute_url()).text


@pytest.mark.parametrize(
    ("buyers", "said"),
    [(1, "Nobody waits after that"), (2, "1 person waits after that"), (4, "3 people wait after that")],
)
def test_a_held_piece_says_how_many_wait_and_never_who(client: Client, buyers: int, said: str) -> None:
    instrument = InstrumentFactory(listed=True)
    hold(instrument, buyers)
    page = client.get(instrument.get_absolute_url()).text
    assert "On hold" in page
    assert said in " ".join(page.split())
    assert "Ask, or ask to be next" in page
    assert "Wendell" not in page


def test_a_sold_piece_says_so_and_has_neither_price_nor_form(client: Client) -> None:
    instrument = InstrumentFactory(sold=True)
    page = client.get(instrument.get_absolute_url()).text
    assert "Sold" in page
    assert "12,500" not in page
    assert "<form" not in page


def test_kind_maker_and_configuration_narrow(client: Client) -> None:
    banjo, other = InstrumentFactory(listed=True), InstrumentFactory(listed=True)
    InstrumentFactory(sold=True)
    assert banjo.maker is not None
    assert found(client) == numbers(other, banjo)
    assert found(client, maker=banjo.maker.slug) == numbers(banjo)
    assert found(client, kind="banjo") == numbers(other, banjo)
    tenor = InstrumentFactory(listed=True, configuration_now=banjo.configuration_made)
    assert found(client, configuration="banjo.tenor") == numbers(tenor)
    assert found(client, configuration="banjo.five-string", maker=banjo.maker.slug) == numbers(banjo)


def test_the_originality_filter_and_the_page_say_the_same(client: Client) -> None:
    listed = {}
    tenor = InstrumentFactory().configuration_made
    leaves = list(Part.objects.filter(kind=tenor.kind, children=None))
    for slug, state in [
        ("nut", "original"),
        ("nut", "later"),
        ("finish", "refinished"),
        ("neck-wood", "missing"),
        ("rim", "reproduction"),
    ]:
        instrument = InstrumentFactory(listed=True, configuration_now=tenor)
        examine_all(instrument, leaves, {slug: state})
        listed[state] = instrument
    listed["converted"] = InstrumentFactory(listed=True)
    listed["nothing"] = InstrumentFactory(listed=True, configuration_now=tenor)
    said = {
        "fully-original": ("original", "Fully original"),
        "but-for": ("later", "Original but for nut"),
        "refinished": ("refinished", "Refinished"),
        "replaced-neck": ("missing", "Original body, neck missing"),
        "assembled": ("reproduction", "Assembled from parts; not original: rim"),
        "not-fully-examined": ("nothing", "Not yet examined"),
        "converted": (
            "converted",
            "Converted: made as tenor, four strings; stands as five-string; no part examined",
        ),
    }
    for value, (state, words) in said.items():
        assert found(client, originality=value) == numbers(listed[state])
        page = client.get(listed[state].get_absolute_url())
        assert page.context["listing"].originality.says == words


def examine_all(instrument: Instrument, parts: list[Part], states: dict[str, str]) -> None:
    """Find every part original but for those named."""
    Finding.objects.bulk_create(
        Finding(
            instrument=instrument,
            part=part,
            state=states.get(part.slug, "original"),
            evidence="Seen",
            examined_at=NOON,
        )
        for part in parts
    )


@pytest.mark.parametrize(
    ("old", "new"), [("all-original", "fully-original"), ("not-examined", "not-fully-examined")]
)
def test_an_address_with_an_old_word_leads_to_the_new_one(client: Client, old: str, new: str) -> None:
    answer = client.get(reverse("catalogue"), {"originality": old, "kind": "banjo"})
    assert answer.status_code == 301
    assert answer["Location"] == f"{reverse('catalogue')}?originality={new}&kind=banjo"


def test_a_price_band_leaves_out_requests_and_other_currencies(client: Client) -> None:
    cheap = InstrumentFactory(listed=True, asking_price=900)
    dear = InstrumentFactory(listed=True, asking_price=9000)
    InstrumentFactory(listed=True, asking_price=950, currency="EUR")
    request = InstrumentFactory(listed=True, asking_price=None, price_on_request=True)
    assert found(client, price_from="900", price_to="8999.99") == numbers(cheap)
    assert found(client, price_from="901") == numbers(dear)
    assert found(client, sort="price-rising")[-1] == request.stock_id
    assert found(client, sort="price-falling")[0] == dear.stock_id


def test_availability_narrows(client: Client) -> None:
    free, held = InstrumentFactory(listed=True), InstrumentFactory(listed=True)
    hold(held, 1)
    assert found(client, availability="available") == numbers(free)
    assert found(client, availability="on-hold") == numbers(held)


def test_a_choice_that_cannot_be_read_is_told_and_chooses_nothing(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    answer = client.get(reverse("catalogue"), {"maker": "nobody", "price_from": "9", "price_to": "lots"})
    assert numbers(instrument) == [card.stock for card in answer.context["cards"]]
    assert set(answer.context["form"].errors) == {"maker", "price_to"}


def test_empty_choices_leave_the_address(client: Client) -> None:
    answer = client.get("/instruments/?kind=banjo&maker=&price_to=&sort=&page=3")
    assert (answer.status_code, answer["Location"]) == (302, "/instruments/?kind=banjo")


def test_nothing_found_says_what_to_leave_out(client: Client) -> None:
    InstrumentFactory(listed=True, asking_price=900)
    answer = client.get("/instruments/?kind=banjo&price_to=100")
    assert answer.context["looser"] == [("a price up to 100 USD", "/instruments/?kind=banjo", 1)]
    assert 'href="/instruments/?kind=banjo"' in answer.text


def test_pages_hold_twenty_four_and_keep_the_choices(client: Client) -> None:
    for _ in range(25):
        InstrumentFactory(listed=True)
    first = client.get("/instruments/?kind=banjo")
    assert len(first.context["cards"]) == 24
    assert "25 instruments, 1 to 24 here" in first.text
    assert "?kind=banjo&amp;page=2" in first.text
    assert len(client.get("/instruments/?kind=banjo&page=2").context["cards"]) == 1


def test_the_archive_stands_under_years_of_the_shops_own_zone(client: Client) -> None:
    ShopFactory._meta.model.objects.update(time_zone="America/New_York")
    # Two in the morning of 1 January in Greenwich is still the old year in New York.
    eve = InstrumentFactory(sold=True, sold_at=NOON.replace(year=2026, month=1, day=1, hour=2))
    later = InstrumentFactory(sold=True, sold_at=NOON)
    years = client.get(reverse("sold")).context["years"]
    assert [(year, many, [card.stock for card in cards]) for year, many, cards in years] == [
        (2026, 1, numbers(later)),
        (2025, 1, numbers(eve)),
    ]


def test_the_site_map_holds_the_public_addresses_and_no_others(client: Client) -> None:
    listed, sold = InstrumentFactory(listed=True), InstrumentFactory(sold=True)
    InstrumentFactory()
    InstrumentFactory(state="withdrawn")
    tree = ElementTree.fromstring(client.get("/sitemap.xml").text)  # noqa: S314 - our own answer
    places = [place.text for place in tree.iter(f"{SITEMAP}loc")]
    pages = ["/", "/instruments/", "/makers/", "/sold/", "/about/", "/terms/"]
    expected = [*pages, listed.get_absolute_url(), sold.get_absolute_url()]
    for piece in (listed, sold):
        expected += [maker_address(piece.maker), model_address(piece.model)]
    in_both = [f"http://testserver{language}{path}" for language in ("", "/de") for path in expected]
    assert sorted(places) == sorted(in_both)


def test_robots_are_kept_from_the_desk(client: Client) -> None:
    lines = client.get("/robots.txt").text.splitlines()
    assert lines == ["User-agent: *", "Disallow: /desk/", "Sitemap: http://testserver/sitemap.xml"]


def many(number: int, **fields: Any) -> None:
    """So many instruments with a picture, a finding and a queue on the first."""
    first = InstrumentFactory(listed=True, **fields)
    shared = {"kind": first.kind, "model": first.model, **fields}
    rest = [InstrumentFactory(listed=True, **shared) for _ in range(number - 1)]
    rim = Part.objects.get(kind=first.kind, slug="rim")
    for instrument in [first, *rest]:
        PhotographFactory(instrument=instrument, lead=True)
    Finding.objects.bulk_create(
        Finding(instrument=one, part=rim, state="later", evidence="Seen", examined_at=NOON)
        for one in [first, *rest]
    )
    hold(first, 2)


ADDRESSES = ["/", "/instruments/", "/instruments/?kind=banjo&sort=price-rising", "/sold/", "/sitemap.xml"]


def queries_of_each(client: Client) -> list[int]:
    counts = []
    for address in ADDRESSES:
        with CaptureQueriesContext(connection) as seen:
            assert client.get(address).status_code == 200
        counts.append(len(seen))
    return counts


def test_lists_ask_as_often_for_a_thousand_as_for_ten(client: Client) -> None:
    many(10)
    shelving.fill()
    few = queries_of_each(client)
    many(990)
    shelving.fill()
    assert Instrument.objects.count() == 1000
    assert Inquiry.objects.count() == 4
    assert queries_of_each(client) == few
    assert max(few) <= 14
