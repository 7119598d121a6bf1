"""What machines read: linked data, canonical addresses, the feed, the site map."""

import json
import re
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from urllib.parse import urlsplit
from xml.etree import ElementTree

import feedparser
import pytest
from django.conf import settings
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.models import FoundNumber, Instrument, Measurement
from catalog.public.machines import site_map
from catalog.public.machines.block import data_block
from catalog.public.machines.canonical import KNOWN
from inquiries.sales.hold_actions import place_hold
from shop.languages.addresses import in_language
from shop.models import ShopProfile
from tests.factories import (
    NOON,
    HelperFactory,
    InquiryFactory,
    InstrumentFactory,
    PhotographFactory,
    ShopFactory,
)
from tests.support.addresses import all_addresses
from tests.support.linked import blocks, graph_of, said, things

pytestmark = pytest.mark.django_db
ATOM = "{http://www.w3.org/2005/Atom}"
SITEMAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"
XHTML_LINK = "{http://www.w3.org/1999/xhtml}link"
# RFC 3339, which RFC 4287 asks for, and which is also a “complete date plus hours, minutes and seconds” of W3C's note.
INSTANT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|[+-]\d\d:\d\d)")
MOST_BYTES, MOST_ADDRESSES = 50 * 1024 * 1024, 50_000


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    ShopFactory(tagline="Old strings, looked at closely")


def linked(client: Client, instrument: Instrument) -> tuple[Any, Any]:
    """The statements of a listing, and the piece they speak of."""
    (block,) = blocks(client.get(instrument.get_absolute_url()).text)
    graph = graph_of(block)
    return graph, things(graph, "IndividualProduct")[0]


def offer(client: Client, instrument: Instrument) -> tuple[str, Any, Any]:
    """Availability, price and currency, as they are told."""
    graph, piece = linked(client, instrument)
    word = said(graph, piece, "offers", "availability").rpartition("/")[2]
    return word, said(graph, piece, "offers", "price"), said(graph, piece, "offers", "priceCurrency")


def properties(client: Client, instrument: Instrument) -> dict[str, tuple[Any, Any]]:
    """Value and unit of each further property, by its name."""
    graph, _ = linked(client, instrument)
    rows = things(graph, "PropertyValue")
    return {
        said(graph, row, "name"): (said(graph, row, "value"), said(graph, row, "unitCode")) for row in rows
    }


def test_a_piece_is_named_with_what_is_known_of_it(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    lead = PhotographFactory(instrument=instrument, lead=True)
    graph, piece = linked(client, instrument)
    assert instrument.maker is not None
    assert instrument.model is not None
    assert said(graph, piece, "name") == instrument.title
    assert said(graph, piece, "url") == f"http://testserver{instrument.get_absolute_url()}"
    assert said(graph, piece, "description") == instrument.story
    assert said(graph, piece, "manufacturer", "name") == instrument.maker.name
    assert said(graph, piece, "brand", "name") == instrument.maker.name
    assert said(graph, piece, "model") == instrument.model.name
    assert said(graph, piece, "image") == f"http://testserver/pictures/{lead.token}/1600.jpg"
    assert said(graph, piece, "offers", "seller", "name") == "Harrow Lane Strings"
    assert said(graph, piece, "itemCondition") == "https://schema.org/UsedCondition"


def test_an_offer_follows_the_state_and_tells_no_price_that_the_page_does_not(client: Client) -> None:
    listed = InstrumentFactory(listed=True, asking_price=Decimal("12500.5"))
    assert offer(client, listed) == ("InStock", "12500.50", "USD")
    place_hold(listed, InquiryFactory(instrument=listed), by=None, at=timezone.now())
    assert offer(client, listed) == ("Reserved", "12500.50", "USD")
    assert "availabilityEnds" not in client.get(listed.get_absolute_url()).text
    request = InstrumentFactory(listed=True, asking_price=None, price_on_request=True)
    assert offer(client, request) == ("InStock", None, None)
    yen = InstrumentFactory(listed=True, asking_price=900_000, currency="JPY")
    assert offer(client, yen) == ("InStock", "900000", "JPY")
    sold = InstrumentFactory(sold=True)
    assert offer(client, sold) == ("SoldOut", None, None)
    ShopProfile.objects.update(sold_prices=True)
    assert offer(client, sold) == ("SoldOut", "12500.00", "USD")


@pytest.mark.parametrize(
    ("typed", "edtf", "told"),
    [
        ("1931", "1931", "1931"),
        ("12 May 1931", "1931-05-12", "1931-05-12"),
        ("c. 1931", "1931~", None),
        ("1931, perhaps", "1931?", None),
        ("1930s", "193X", None),
        ("1925 to 1928", "1925/1928", None),
        ("May 1931", "1931-05", None),
        ("", "", None),
    ],
)
def test_only_a_sure_date_is_told_as_one_and_every_date_as_edtf(
    client: Client, typed: str, edtf: str, told: str | None
) -> None:
    instrument = InstrumentFactory(listed=True, made=typed, made_edtf=edtf)
    graph, piece = linked(client, instrument)
    assert said(graph, piece, "productionDate") == told
    assert properties(client, instrument).get("Date of make, EDTF", (None, None))[0] == (edtf or None)


def test_measurements_have_exact_numbers_and_the_codes_of_their_units(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    lengths = instrument.kind.measures.filter(quantity="length")
    weight, count = (instrument.kind.measures.filter(quantity=what).first() for what in ("mass", "count"))
    for measure, amount, unit in [
        (lengths[0], 1680, "in64"),
        (lengths[1], 6671, "mm10"),
        (weight, 395, "oz4"),
        (count, 22, "count"),
    ]:
        Measurement.objects.create(instrument=instrument, measure=measure, amount=amount, unit=unit)
    told = properties(client, instrument)
    assert told[lengths[0].name] == (26.25, "INH")
    assert told[lengths[1].name] == (667.1, "MMT")
    assert told[weight.name] == (98.75, "ONZ")
    assert told[count.name] == (22, None)


def test_a_serial_number_is_one_that_can_be_read(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    for what, value, legibility in [
        ("batch", "88", "clear"),
        ("serial", "44?7", "partly"),
        ("serial", "4417", "clear"),
    ]:
        FoundNumber.objects.create(
            instrument=instrument, what=what, value=value, where="on the rim", legibility=legibility
        )
    graph, piece = linked(client, instrument)
    assert said(graph, piece, "serialNumber") == "4417"
    assert {said(graph, row, "value") for row in things(graph, "PropertyValue")} >= {"88", "44?7", "4417"}


HOSTILE = "</script><script>alert(1)</script><!-- & <b>"


def test_no_words_end_the_block_or_begin_anything_in_it(client: Client) -> None:
    instrument = InstrumentFactory(listed=True, story=HOSTILE)
    page = client.get(instrument.get_absolute_url()).text
    graph, piece = linked(client, instrument)
    assert said(graph, piece, "description") == HOSTILE
    inside = re.findall(r'<script type="application/ld\+json">(.*?)</script>', page, re.DOTALL)
    assert not re.search(r"[<>&]", inside[0])
    assert page.count("<script") == page.count('<script type="application/ld+json">') + page.count(
        '<script type="module" src='
    )
    assert json.loads(re.sub("<.*?>", "", data_block({"x": HOSTILE}))) == {"x": HOSTILE}


def test_a_preview_of_a_draft_offers_nothing(client: Client) -> None:
    client.force_login(HelperFactory(), backend="django.contrib.auth.backends.ModelBackend")
    draft = InstrumentFactory()
    (block,) = blocks(client.get(reverse("preview", args=[draft.stock_id])).text)
    assert things(graph_of(block), "Offer") == []


def canonical(client: Client, address: str) -> list[str]:
    """Every canonical address that a page names, without its host."""
    found = re.findall(r'<link rel="canonical" href="([^"]*)">', client.get(address).text)
    return [one.replace("&amp;", "&").removeprefix("http://testserver") for one in found]


@pytest.mark.parametrize(
    ("asked", "settled"),
    [
        ("/?from=a-letter", "/"),
        ("/about/?x=1", "/about/"),
        ("/terms/", "/terms/"),
        ("/makers/?page=2", "/makers/"),
        ("/sold/?page=1&utm=x", "/sold/"),
        ("/sold/?page=2", "/sold/?page=2"),
        ("/instruments/?tracked=yes&kind=banjo", "/instruments/?kind=banjo"),
        (
            "/instruments/?sort=newest&price_to=9&kind=banjo",
            "/instruments/?kind=banjo&price_to=9&sort=newest",
        ),
        ("/instruments/?kind=banjo&page=2", "/instruments/?kind=banjo&page=2"),
        ("/wanted/?x=1", "/wanted/"),
    ],
)
def test_a_page_names_its_one_address_without_what_it_does_not_know(
    client: Client, asked: str, settled: str
) -> None:
    InstrumentFactory(listed=True)
    assert canonical(client, asked) == [settled]


def test_a_listing_names_its_own_and_a_page_that_is_not_there_none(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    assert canonical(client, f"{instrument.get_absolute_url()}?x=1") == [instrument.get_absolute_url()]
    assert canonical(client, "/instruments/1-nothing/") == []


def test_what_a_page_knows_is_said_of_pages_that_are_there() -> None:
    assert set(KNOWN) <= {address.name for address in all_addresses()}


def test_the_colour_of_the_frame_is_the_ground_by_day_and_by_night(client: Client) -> None:
    tokens = (settings.BASE_DIR / "static" / "css" / "tokens.css").read_text(encoding="utf-8")
    told = re.findall(r'name="theme-color" content="(#\w+)"', client.get("/").text)
    assert told == re.findall(r"--ground: (#\w+);", tokens)


def feed_of(client: Client) -> Any:
    answer = client.get(reverse("feed"))
    assert answer["Content-Type"] == "application/atom+xml; charset=utf-8"
    return feedparser.parse(answer.content)


def test_the_feed_tells_what_was_listed_last_first(client: Client) -> None:
    older = InstrumentFactory(listed=True, listed_at=NOON - timedelta(days=9), changed_at=NOON)
    newer = InstrumentFactory(listed=True, listed_at=NOON, story="Rosewood & <pearl>.")
    InstrumentFactory(sold=True)
    InstrumentFactory()
    read = feed_of(client)
    assert not read.bozo, read.get("bozo_exception")
    assert read.version == "atom10"
    assert read.feed.title == "Harrow Lane Strings, newly listed"
    assert read.feed.author == "Harrow Lane Strings"
    assert [entry.link for entry in read.entries] == [
        f"http://testserver{one.get_absolute_url()}" for one in (newer, older)
    ]
    assert "Banjo, five-string" in read.entries[0].summary
    assert "Rosewood &amp; &lt;pearl&gt;." in read.entries[0].summary, "words, and no markup of their own"
    assert read.feed.updated == read.entries[1].updated == NOON.isoformat()


def test_the_feed_keeps_the_rules_of_its_standard(client: Client) -> None:
    """RFC 4287, sections 4.1.1 and 4.1.2: what stands once, and what must be there."""
    for _ in range(3):
        InstrumentFactory(listed=True, story="Bell\x07 and \x1fnothing", listed_at=NOON)
    root = ElementTree.fromstring(client.get(reverse("feed")).content)  # noqa: S314 - our own answer
    assert root.tag == f"{ATOM}feed"
    entries = root.findall(f"{ATOM}entry")
    assert len(entries) == 3
    for thing in [root, *entries]:
        for name in ("id", "title", "updated"):
            (one,) = thing.findall(f"{ATOM}{name}")
            assert one.text
            if name == "updated":
                assert INSTANT.fullmatch(one.text)
                assert datetime.fromisoformat(one.text).tzinfo
            if name == "id":
                assert re.fullmatch(r"tag:[a-z0-9.-]+,\d{4}-\d\d-\d\d:[\w.-]+", one.text)  # RFC 4151
    assert len({one.findtext(f"{ATOM}id") for one in [root, *entries]}) == 4
    links = {link.get("rel"): link.get("href") for link in root.findall(f"{ATOM}link")}
    assert links == {"alternate": "http://testserver/", "self": "http://testserver/feed.atom"}
    assert root.find(f"{ATOM}author/{ATOM}name") is not None, "so no entry needs an author"
    for one in entries:
        assert len(one.findall(f"{ATOM}summary")) == 1
        assert [link.get("rel") for link in one.findall(f"{ATOM}link")] == ["alternate"]


def test_an_entry_keeps_its_name_when_the_title_changes(client: Client) -> None:
    instrument = InstrumentFactory(listed=True)
    before = feed_of(client).entries[0]
    instrument.made, instrument.made_edtf = "1932", "1932"
    instrument.save()
    after = feed_of(client).entries[0]
    assert before.link != after.link
    assert before.id == after.id


def test_a_feed_with_nothing_in_it_is_a_feed_and_says_the_same_each_time(client: Client) -> None:
    read = feed_of(client)
    assert (read.bozo, read.entries) == (False, [])
    assert client.get(reverse("feed")).content == client.get(reverse("feed")).content


def test_every_public_page_leads_to_the_feed(client: Client) -> None:
    for path in ("/", "/instruments/", "/about/"):
        assert '<link rel="alternate" type="application/atom+xml"' in client.get(path).text


def files_of(client: Client, path: str, kind: str) -> list[str]:
    """The addresses that a site map, or its index, names."""
    root = ElementTree.fromstring(client.get(path).content)  # noqa: S314 - our own answer
    assert root.tag == f"{SITEMAP}{kind}"
    return [str(place.text) for place in root.iter(f"{SITEMAP}loc")]


def test_above_the_limit_the_site_map_lies_in_files(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    for _ in range(7):
        InstrumentFactory(listed=True)
    whole = files_of(client, "/sitemap.xml", "urlset")
    monkeypatch.setattr(site_map, "MOST_PLACES", 5)
    InstrumentFactory(listed=True)
    names = files_of(client, "/sitemap.xml", "sitemapindex")
    assert names == [f"http://testserver/sitemap-{number}.xml" for number in range(1, len(names) + 1)]
    found = [files_of(client, urlsplit(name).path, "urlset") for name in names]
    assert all(0 < len(places) <= 5 * len(settings.LANGUAGES) for places in found)
    together = [place for places in found for place in places]
    assert len(set(together)) == len(together) == len(whole) + 3 * len(settings.LANGUAGES), (
        "one more piece, with its maker and model"
    )
    assert set(whole) < set(together)
    assert client.get(f"/sitemap-{len(names) + 1}.xml").status_code == 404
    assert client.get("/sitemap-0.xml").status_code == 404


def test_the_longest_addresses_keep_a_full_file_below_its_other_limit() -> None:
    host, longest = "https://" + 253 * "h", {"maker": 120, "model": 120, "made": 80}
    for name, length in longest.items():
        owner = Instrument if name == "made" else Instrument._meta.get_field(name).related_model
        assert owner._meta.get_field("made" if name == "made" else "name").max_length == length
    path = f"/instruments/{2**31}-{'s' * (sum(longest.values()) + 2)}/"
    every = [(code, f"{host}{in_language(path, code)}") for code, _ in settings.LANGUAGES]
    file = render_to_string("public/sitemap.xml", {"places": [(every, timezone.now())]})
    assert file.count("<loc>") * site_map.MOST_PLACES <= MOST_ADDRESSES
    assert len(file.encode()) * site_map.MOST_PLACES < MOST_BYTES


def test_the_site_map_names_each_page_in_every_language_beside_its_others(client: Client) -> None:
    piece = InstrumentFactory(listed=True)
    path = f"http://testserver{piece.get_absolute_url()}"
    german = f"http://testserver{in_language(piece.get_absolute_url(), 'de')}"
    root = ElementTree.fromstring(client.get("/sitemap.xml").content)  # noqa: S314 - our own answer
    beside = {
        url.findtext(f"{SITEMAP}loc"): [
            (link.get("hreflang"), link.get("href")) for link in url.iter(XHTML_LINK)
        ]
        for url in root
    }
    assert beside[path] == beside[german] == [("en", path), ("de", german), ("x-default", path)]
    assert all(len(links) == len(settings.LANGUAGES) + 1 for links in beside.values())


def test_each_page_leads_to_itself_in_every_language(client: Client) -> None:
    piece = InstrumentFactory(listed=True)
    for path in ("/", "/instruments/?sort=price-rising", "/about/", piece.get_absolute_url()):
        german = in_language(path, "de")
        pages = [client.get(path).text, client.get(german).text]
        at = "http://testserver"
        for page, own in zip(pages, (path, german), strict=True):
            found = re.findall(r'<link rel="alternate" hreflang="([^"]+)" href="([^"]+)">', page)
            assert found == [("en", at + path), ("de", at + german), ("x-default", at + path)]
            assert f'<link rel="canonical" href="{at}{own}">' in page
        assert f'<a href="{german}" lang="de" hreflang="de">Deutsch</a>' in pages[0]
        assert f'<a href="{path}" lang="en" hreflang="en">English</a>' in pages[1]


def test_what_has_no_page_in_another_language_names_none(client: Client) -> None:
    ShopFactory()
    for path, other in (("/nothing-here/", "/de/"), ("/de/nothing-here/", "/")):
        page = client.get(path).text
        assert 'rel="alternate" hreflang' not in page
        assert f'<a href="{other}" lang' in page


def test_the_site_map_says_when_each_piece_last_changed(client: Client) -> None:
    instrument = InstrumentFactory(listed=True, changed_at=NOON)
    root = ElementTree.fromstring(client.get("/sitemap.xml").content)  # noqa: S314 - our own answer
    told = {url.findtext(f"{SITEMAP}loc"): url.findtext(f"{SITEMAP}lastmod") for url in root}
    changed = told[f"http://testserver{instrument.get_absolute_url()}"]
    assert changed is not None
    assert INSTANT.fullmatch(changed)
    assert datetime.fromisoformat(changed) == NOON
