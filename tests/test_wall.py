"""The wall between the desk and the public, on every address there is."""

import io
import re
from collections.abc import Iterator
from typing import Any
from urllib.parse import urljoin, urlsplit

import pytest
from django.apps import apps
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from PIL import Image

from catalog.models import Instrument
from catalog.pictures.actions import receive_photograph
from catalog.public.wall import PUBLIC
from catalog.recordings.actions import receive_recording
from shop.jobs.worker import drain
from shop.languages.addresses import in_language
from shop.models import User
from tests.factories import NOON, HelperFactory, OwnerFactory, ShopFactory
from tests.support.addresses import Address, all_addresses
from tests.support.canaries import Canaries, planting
from tests.support.papers import Paper
from tests.support.sounds import TAGS, film, sound, wav_with_tags
from tests.world import World, build_world

DESK = [address for address in all_addresses() if address.route.startswith("desk/")]
STREET = [address for address in all_addresses() if not address.route.startswith("desk/")]
OPEN_DOORS = {"log-in", "log-out"}
SELF_FORM_METHODS = ("get", "post")
OPEN_TO_ALL = 200


def samples(world: World) -> dict[str, Any]:
    """A value for every part of every address."""
    return world.samples


@pytest.fixture
def world(db: None) -> World:
    ShopFactory()
    return build_world()


def by_name(address: Address) -> str:
    return address.name or address.route


@pytest.mark.parametrize("address", DESK, ids=by_name)
def test_every_desk_view_wears_a_guard(address: Address) -> None:
    assert address.guard in {"desk", "owner"} or address.name in OPEN_DOORS


@pytest.mark.parametrize("address", STREET, ids=by_name)
def test_no_public_view_wears_one(address: Address) -> None:
    assert address.guard == ""


@pytest.mark.parametrize("method", SELF_FORM_METHODS)
def test_a_stranger_is_sent_to_the_log_in(method: str, world: World) -> None:
    # A wrong method is refused before anything is looked at; everything else leads to the log-in.
    came_in = {
        address.route: answer.status_code
        for address, answer in answers(world, None, method)
        if answer.status_code != 405 and not answer.get("Location", "").startswith("/desk/log-in/?next=")
    }
    assert came_in == {}


def test_a_helper_opens_the_daily_pages_and_none_of_the_owners(world: World) -> None:
    wrong = {
        address.route: answer.status_code
        for address, answer in answers(world, HelperFactory())
        if answer.status_code not in ({403, 405} if address.guard == "owner" else {200, 302, 405})
    }
    assert wrong == {}


def test_the_owner_opens_every_page_and_no_cache_keeps_it(world: World) -> None:
    wrong = {
        address.route: (answer.status_code, answer.get("Cache-Control"))
        for address, answer in answers(world, OwnerFactory())
        if answer.status_code not in {200, 302, 405}
        or (answer.status_code == OPEN_TO_ALL and "no-store" not in answer["Cache-Control"])
    }
    assert wrong == {}


def answers(world: World, visitor: User | None, method: str = "get") -> Iterator[tuple[Address, Any]]:
    """What each address of the desk answers in the world as it was built: what the one before did is undone."""
    asked = [address for address in DESK if address.name not in OPEN_DOORS]
    assert asked
    for address in asked:
        with transaction.atomic():
            client = Client()
            if visitor:
                client.force_login(visitor, backend="django.contrib.auth.backends.ModelBackend")
            answer = getattr(client, method)(address.path(samples(world)))
            body_of(answer)
            transaction.set_rollback(True)
        yield address, answer


def test_a_helper_never_reads_a_cost_a_seller_or_a_floor(client: Client, db: None) -> None:
    with planting() as canaries:
        ShopFactory()
        world = build_world()
    secret = {
        "catalog.Instrument.floor_price",
        "catalog.Acquisition.seller",
        "catalog.Acquisition.seller_contact",
        "catalog.Acquisition.note",
        "catalog.Cost.amount",
        "catalog.Cost.note",
        "catalog.Agreement.note",
        "catalog.Agreement.least",
        "catalog.Agreement.reserve",
        "catalog.AgreementTier.above",
        "catalog.Work.who",
        "catalog.Work.estimate",
        "catalog.Paper.from_whom",
        "inquiries.Payout.amount",
    }
    assert secret <= set(canaries.planted), "every secret is planted"
    client.force_login(HelperFactory(), backend="django.contrib.auth.backends.ModelBackend")
    for address in DESK:
        answer = client.get(address.path(samples(world)))
        if answer.status_code == OPEN_TO_ALL:
            assert not secret & set(canaries.found_in(words_of(body_of(answer)))), address.route


def test_no_private_field_reaches_any_public_address(client: Client, db: None) -> None:
    with planting() as canaries:
        ShopFactory()
        world = build_world()
        photograph_with_canary(world, canaries)
        recordings_with_canaries(world, canaries)
    assert_everything_private_is_planted(canaries)
    seen = list(crawl(client, world))
    public = [world.listed.get_absolute_url(), world.sold.get_absolute_url()]
    assert {*public, *(f"{path}report.pdf" for path in public), "/sitemap.xml"} <= {path for path, _ in seen}
    assert {in_language(path, "de") for path in public} <= {path for path, _ in seen}, "in German as well"
    leaks = {path: found for path, body in seen if (found := canaries.found_in(body))}
    assert leaks == {}


def test_a_person_stands_on_the_street_by_consent_alone(client: Client, world: World) -> None:
    entry, name = world.listed.provenance.get(kind="owned"), "Orla Vandemoor"
    world.listed.provenance.filter(pk=entry.pk).update(person=name)
    for path, body in crawl(client, world):
        assert "Vandemoor" not in body, path
    agreed = {"consent_on": NOON.date(), "consent_how": "By letter to the desk"}
    world.listed.provenance.filter(pk=entry.pk).update(**agreed)
    bodies = dict(crawl(client, world))
    assert name in bodies[world.listed.get_absolute_url()]
    assert not any("By letter to the desk" in body for body in bodies.values())


def test_the_words_of_a_pdf_are_read_where_they_are_packed(client: Client, world: World) -> None:
    words = words_of(client.get(f"{world.listed.get_absolute_url()}report.pdf").content)
    assert world.listed.condition in words, "in the pages"
    assert f"No. {world.listed.stock_id}, {world.listed.title}" in words, "in the facts"


def test_what_may_cross_names_only_fields_that_exist() -> None:
    for label, fields in PUBLIC.items():
        names = {field.name for field in apps.get_model(label)._meta.concrete_fields}
        assert fields <= names, label


def assert_everything_private_is_planted(canaries: Canaries) -> None:
    """Each model with private text has at least one canary, so that the crawl cannot pass for want of them."""
    planted = {field.rsplit(".", 1)[0] for field in canaries.planted}
    expected = {
        "shop.User",
        "catalog.Acquisition",
        "catalog.Cost",
        "catalog.Paper",
        "catalog.Provenance",
        "catalog.Photograph",
        "catalog.Recording",
    }
    expected |= {
        "inquiries." + name
        for name in (["Contact", "Message", "Hold", "Sale", "LedgerRow", "Shipment", "Delivery", "Payout"])
    }
    assert expected <= planted


def photograph_with_canary(world: World, canaries: Canaries) -> None:
    """A real photograph whose file carries a position, an owner's name and a comment."""
    exif = Image.Exif()
    exif[0x010E] = "CNRYDESCRIPTION"
    exif[0x8298] = "CNRYCOPYRIGHT"
    exif[0xA430] = "CNRYOWNERNAME"
    exif.get_ifd(0x8825)[29] = "CNRYGPSDATE"
    out = io.BytesIO()
    Image.new("RGB", (500, 400), "#876").save(out, "JPEG", exif=exif, comment=b"CNRYCOMMENT")
    upload = SimpleUploadedFile("CNRYFILENAME.jpg", out.getvalue(), "image/jpeg")
    receive_photograph(world.listed, upload, by=world.owner, at=NOON)
    drain()
    marks = {
        "CNRYDESCRIPTION",
        "CNRYCOPYRIGHT",
        "CNRYOWNERNAME",
        "CNRYGPSDATE",
        "CNRYCOMMENT",
        "CNRYFILENAME",
    }
    canaries.planted["the file itself"] = marks


def recordings_with_canaries(world: World, canaries: Canaries) -> None:
    """Real recordings whose files carry a place, an artist, a device and a comment."""
    sent = [
        ("CNRYTUNE.wav", wav_with_tags()),
        ("CNRYTUNE.mp3", sound("mp3", tags=TAGS)),
        ("CNRYFILM.mp4", film("mp4", tags=TAGS)),
    ]
    for name, content in sent:
        receive_recording(world.listed, SimpleUploadedFile(name, content), by=world.owner, at=NOON)
    drain()
    assert world.listed.recordings.ready().count() == 1 + len(sent)
    canaries.planted["the recordings themselves"] = {*TAGS.values(), "CNRYRECORDER", "CNRYTUNE", "CNRYFILM"}


def crawl(client: Client, world: World) -> Iterator[tuple[str, str]]:
    """Every public address there is, and every link, picture and file that hangs from one."""
    waiting = [address.path(samples(world)) for address in STREET] + ["/sitemap.xml", "/robots.txt"]
    seen: set[str] = set()
    while waiting:
        path = waiting.pop()
        if path in seen or path.startswith(("/desk/", "/static/")):
            continue
        seen.add(path)
        answer = client.get(path)
        if answer.status_code in {301, 302}:
            waiting.append(answer["Location"])
            continue
        text = words_of(body_of(answer)) + str(dict(answer.items()))
        yield path, text
        waiting += links(text, path)


def body_of(answer: Any) -> bytes:
    """The whole body; a file that is handed out is closed by being read to its end."""
    return b"".join(answer.streaming_content) if answer.streaming else answer.content


def words_of(body: bytes) -> str:
    """An answer as text; of a PDF also what is packed away in it: its pages, its tags, its facts."""
    text = body.decode("utf-8", "replace")
    if not body.startswith(b"%PDF-"):
        return text
    paper = Paper(body)
    return "\n".join([text, paper.text, *paper.strings])


def links(text: str, base: str) -> list[str]:
    found = re.findall(r"(?:href|src|action|poster)=\"([^\"]+)\"", text)
    found += [
        part.split()[0] for srcset in re.findall(r"srcset=\"([^\"]+)\"", text) for part in srcset.split(",")
    ]
    found += re.findall(r"<loc>([^<]+)</loc>", text)
    found += re.findall(r"content=\"(https?://[^\"]+)\"", text)
    paths = [urlsplit(urljoin(base, link.replace("&amp;", "&"))) for link in found]
    return [
        part.path + (f"?{part.query}" if part.query else "")
        for part in paths
        if part.scheme in {"", "http", "https"} and part.netloc in {"", "testserver"}
    ]


def test_the_policy_forbids_every_inline_script_and_style(client: Client, world: World) -> None:
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    assert "unsafe" not in str(settings.CONTENT_SECURITY_POLICY)
    for address in [*STREET, *DESK]:
        answer = client.get(address.path(samples(world)))
        body_of(answer)
        if "text/html" not in answer.get("Content-Type", ""):
            continue
        assert "default-src 'none'" in answer["Content-Security-Policy"], address.route
        assert not re.search(
            r"<[a-z]+[^>]*\s(?:style|on[a-z]+)=|<style|<script(?![^>]*\ssrc=)(?! type=\"application/ld\+json\">)",
            answer.text,
        ), address.route


def test_drafts_and_withdrawn_pieces_are_not_to_be_found(client: Client, world: World) -> None:
    for state in (Instrument.State.DRAFT, Instrument.State.WITHDRAWN):
        Instrument.objects.filter(pk=world.listed.pk).update(state=state)
        assert client.get(world.listed.get_absolute_url()).status_code == 404
        assert world.listed.get_absolute_url() not in client.get("/sitemap.xml").text


def test_somebody_who_left_no_longer_comes_in(client: Client, world: World) -> None:
    helper = HelperFactory()
    client.force_login(helper, backend="django.contrib.auth.backends.ModelBackend")
    User.objects.filter(pk=helper.pk).update(is_active=False)
    assert client.get("/desk/")["Location"].startswith("/desk/log-in/")
