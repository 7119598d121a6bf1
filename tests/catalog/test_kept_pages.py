"""Public pages are made once and kept until something they show changes, and only then."""

import gzip
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import brotli
import pytest
from django.conf import settings
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.instruments.actions import change_record, change_rows, move
from catalog.models import Included, IndexYear, Instrument, ListPrice, Photograph, PriceIndex, Provenance
from inquiries.models import Hold
from inquiries.sales.hold_actions import place_hold, release_hold
from shop.kept import stamps
from shop.kept.middleware import MEMORY
from shop.kept.pages import without_indents
from shop.profile.queries import the_shop
from tests.factories import InquiryFactory, InstrumentFactory, OwnerFactory, PhotographFactory, ShopFactory

pytestmark = pytest.mark.django_db
BROWSER = {"Accept-Encoding": "gzip, deflate, br"}


@pytest.fixture
def piece(db: None) -> Any:
    ShopFactory()
    return InstrumentFactory(listed=True)


def is_made(client: Client, path: str) -> bool:
    """Whether asking for the page makes it anew."""
    answer = client.get(path)
    assert answer.status_code == 200
    return bool(answer.templates)


def settled() -> None:
    """As after the commit: the stamps lie closed."""
    for file in Path(settings.STAMPS_DIR).iterdir():
        stamps._put_down([file.name], under_way=False)


def test_a_page_is_made_once_and_answered_without_the_database(
    client: Client, piece: Instrument, django_assert_num_queries: Any
) -> None:
    client.get("/instruments/")  # fills the shelf
    settled()
    for name in ("front", "catalogue", "makers-list", "sold", "about", "terms", "feed", "sitemap", "robots"):
        first = client.get(reverse(name))
        with django_assert_num_queries(0):
            again = client.get(reverse(name))
        assert (again.content, again["ETag"]) == (first.content, first["ETag"]), name
        assert not again.templates, name
        for header in ("Content-Security-Policy", "X-Frame-Options", "Content-Type", "Referrer-Policy"):
            assert again[header] == first[header], name


def test_each_form_has_its_tag_and_the_tag_is_enough(client: Client, piece: Instrument) -> None:
    path = piece.get_absolute_url()
    plain = client.get(path)
    short, gz = client.get(path, headers=BROWSER), client.get(path, headers={"Accept-Encoding": "gzip"})
    assert brotli.decompress(short.content) == gzip.decompress(gz.content) == plain.content
    assert (short["Content-Encoding"], gz["Content-Encoding"]) == ("br", "gzip")
    assert "Content-Encoding" not in plain
    tags = {answer["ETag"] for answer in (plain, short, gz)}
    assert len(tags) == 3
    assert not any(tag.startswith("W/") for tag in tags)
    assert all(answer["Vary"] == "Accept-Encoding" for answer in (plain, short, gz))
    assert all(answer["Cache-Control"] == "no-cache" for answer in (plain, short, gz))
    for tag in (short["ETag"], f"W/{short['ETag']}", f'"other", {short["ETag"]}'):
        had = client.get(path, headers={**BROWSER, "If-None-Match": tag})
        assert (had.status_code, had.content, had["ETag"]) == (304, b"", short["ETag"])
        assert (had["Vary"], had["Cache-Control"]) == ("Accept-Encoding", "no-cache")
    assert client.get(path, headers={**BROWSER, "If-None-Match": plain["ETag"]}).status_code == 200


def test_indents_are_left_out_and_what_was_written_is_not() -> None:
    page = b"<p>\n    One\n\n  two\n</p>  \r\n\t<pre>\n  a\n\n  b</pre>\n <textarea>\n  c\n</textarea>\n"
    kept = b"<p>\nOne\ntwo\n</p>\n<pre>\n  a\n\n  b</pre>\n<textarea>\n  c\n</textarea>\n"
    assert without_indents(page) == kept


def test_head_says_what_get_would_say(client: Client, piece: Instrument) -> None:
    path = piece.get_absolute_url()
    head, got = client.head(path, headers=BROWSER), client.get(path, headers=BROWSER)
    assert head.content == b""
    assert dict(head.items()) == dict(got.items())
    assert int(head["Content-Length"]) == len(got.content)


def test_the_tag_is_the_same_when_the_page_is_made_again_and_says_the_same(
    client: Client, piece: Instrument, monkeypatch: pytest.MonkeyPatch
) -> None:
    at = timezone.now().replace(minute=10)
    monkeypatch.setattr("django.utils.timezone.now", lambda: at)
    path = piece.get_absolute_url()
    tag = client.get(path)["ETag"]
    MEMORY.forget()
    assert client.get(path)["ETag"] == tag


# Each deed, with whether the piece's own page and the catalogue show something else after it.
Deed = Callable[[Any], object]
NOW = timezone.now


def add_row(piece: Instrument) -> None:
    change_rows(
        piece, "included", lambda: Included.objects.create(instrument=piece, what="Case"), by=None, at=NOW()
    )


def add_year(piece: Instrument) -> None:
    index = PriceIndex.objects.create(name="Index", currency="USD", source="A book", loaded_at=NOW())
    IndexYear.objects.bulk_create([IndexYear(index=index, year=1931, value=1)])


def rename_maker(piece: Instrument) -> None:
    type(piece.maker).objects.filter(pk=piece.maker_id).update(name="Quillon & Daughters")


def mark_ready(piece: Instrument) -> None:
    photograph = piece.photographs.get()
    Photograph.objects.filter(pk=photograph.pk).update(widths=[400, 800])


SHOWN: dict[str, Deed] = {
    "price": lambda piece: change_record(piece, {"asking_price": Decimal(99)}, by=None, at=NOW()),
    "story": lambda piece: change_record(piece, {"story": "Found in a barn."}, by=None, at=NOW()),
    "row": add_row,
    "hold": lambda piece: place_hold(piece, InquiryFactory(instrument=piece), by=None, at=NOW()),
    "prints": mark_ready,
    "saved photograph": lambda piece: PhotographFactory(instrument=piece, caption="The heel"),
    "removed photograph": lambda piece: piece.photographs.all().delete(),
    "maker": rename_maker,
    "profile": lambda piece: type(the_shop()).objects.update(tagline="Old strings."),
    "list price": lambda piece: ListPrice.objects.create(
        model=piece.model, year=1931, amount=Decimal(125), source="Price list"
    ),
    "index": add_year,
    "a person by consent": lambda piece: Provenance.objects.create(
        instrument=piece,
        kind="owned",
        when="1951",
        person="Ada",
        consent_on=NOW().date(),
        consent_how="Letter",
    ),
}
PRIVATE: dict[str, Deed] = {
    "floor": lambda piece: change_record(piece, {"floor_price": Decimal(50)}, by=None, at=NOW()),
    "a question": lambda piece: InquiryFactory(instrument=piece),
    "its whole save": lambda piece: Instrument.objects.get(pk=piece.pk).save(),
    "private note": lambda piece: piece.provenance.update(private="From his daughter"),
    "another draft": lambda piece: InstrumentFactory(maker=piece.maker, model=piece.model, kind=piece.kind),
}


@pytest.mark.parametrize("deed", SHOWN.values(), ids=SHOWN)
def test_a_deed_that_shows_makes_the_page_anew(client: Client, piece: Instrument, deed: Deed) -> None:
    PhotographFactory(instrument=piece, lead=True)
    path = piece.get_absolute_url()
    client.get(path)
    assert not is_made(client, path)
    deed(piece)
    now = Instrument.objects.get(pk=piece.pk).get_absolute_url()  # a new name is a new address
    assert is_made(client, now)
    assert not is_made(client, now)
    assert client.get(path).status_code == (200 if path == now else 301)


@pytest.mark.parametrize("deed", PRIVATE.values(), ids=PRIVATE)
def test_a_private_deed_leaves_the_page_as_it_is(client: Client, piece: Instrument, deed: Deed) -> None:
    Provenance.objects.create(instrument=piece, kind="owned", when="1951", public="A player")
    path = piece.get_absolute_url()
    tag = client.get(path)["ETag"]
    deed(piece)
    assert not is_made(client, path)
    assert client.get(path)["ETag"] == tag


def test_another_piece_by_another_maker_leaves_the_page_as_it_is(client: Client, piece: Instrument) -> None:
    other = InstrumentFactory(listed=True, maker__name="Another Maker")
    path = piece.get_absolute_url()
    client.get(path), client.get("/instruments/")
    change_record(other, {"asking_price": Decimal(77), "story": "Of another."}, by=None, at=NOW())
    assert not is_made(client, path)
    assert is_made(client, "/instruments/")


def test_what_leaves_the_street_leaves_its_pages(client: Client, piece: Instrument) -> None:
    path = piece.get_absolute_url()
    for place in (path, "/", "/instruments/"):
        client.get(place)
    move(piece, [Instrument.State.LISTED], Instrument.State.WITHDRAWN, by=None, at=NOW())
    assert client.get(path).status_code == 404
    assert piece.title not in client.get("/").text
    assert piece.title not in client.get("/instruments/").text


def test_a_hold_ends_on_the_page_at_its_instant(
    client: Client, piece: Instrument, monkeypatch: pytest.MonkeyPatch
) -> None:
    at = timezone.now()
    hold = place_hold(piece, InquiryFactory(instrument=piece), by=None, at=at, hours=1)
    settled()
    path = piece.get_absolute_url()
    assert "On hold" in client.get(path).text
    assert not is_made(client, path)
    later = hold.until + timedelta(seconds=1)
    monkeypatch.setattr("django.utils.timezone.now", lambda: later)
    monkeypatch.setattr("shop.kept.pages.time.time", later.timestamp)
    assert Hold.objects.get().state == Hold.State.ACTIVE, "the books have not been brought up to it"
    assert "On hold" not in client.get(path).text


def test_a_page_lasts_to_midnight_of_the_shop_at_most(client: Client, piece: Instrument) -> None:
    client.get("/")
    [page] = [*MEMORY._hall.values()]
    assert page.until - timezone.now().timestamp() <= 12 * 3600
    midnight = timezone.localtime(timezone.now(), the_shop().zone).replace(hour=0, minute=0) + timedelta(
        days=1
    )
    assert page.until <= midnight.timestamp()


def test_what_staff_see_is_never_kept(client: Client, piece: Instrument) -> None:
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    for path in (reverse("preview", args=[piece.stock_id]), "/desk/", "/desk/log-in/"):
        answer = client.get(path)
        assert "no-store" in answer["Cache-Control"] or answer.status_code == 302
        assert "ETag" not in answer
    assert len(MEMORY) == 0
    client.get("/")
    assert not is_made(Client(), "/"), "what staff see of the street is what everybody sees"


def test_an_unknown_question_is_answered_and_not_kept(client: Client, piece: Instrument) -> None:
    for path in (
        "/?from=letter",
        "/instruments/?x=1",
        f"{piece.get_absolute_url()}?print",
        "/instruments/?kind=a&kind=b",
    ):
        assert is_made(client, path)
        assert is_made(client, path)
    assert len(MEMORY) == 0
    assert client.get("/?from=letter")["ETag"]


def test_another_host_has_pages_of_its_own(client: Client, piece: Instrument, settings: Any) -> None:
    settings.ALLOWED_HOSTS = ["testserver", "other.example"]
    client.get("/")
    assert "other.example" in client.get("/sitemap.xml", headers={"Host": "other.example"}).text
    assert "other.example" not in client.get("/sitemap.xml").text
    assert client.get("/", headers={"Host": "bad.example"}).status_code == 400


@pytest.mark.django_db(transaction=True)
def test_a_deed_under_way_and_one_that_was_cut_off(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    ShopFactory()
    piece = InstrumentFactory(listed=True)
    path = piece.get_absolute_url()
    client.get(path)
    assert not is_made(client, path)
    with transaction.atomic():
        change_record(piece, {"story": "Never told."}, by=None, at=NOW())
        assert stamps.look_at(f"piece-{piece.stock_id}").open  # type: ignore[union-attr]
        transaction.set_rollback(True)
    # As after a kill: the open stamp lies there and no closed one comes.
    assert is_made(client, path)
    assert not is_made(client, path)
    minute = timezone.now().timestamp() + stamps.OPEN_SECONDS
    monkeypatch.setattr("shop.kept.pages.time.time", lambda: minute)
    monkeypatch.setattr("shop.kept.stamps.time.time", lambda: minute)
    assert is_made(client, path), "a page that was made under an open stamp lasts for its minute"
    assert not is_made(client, path), "and once that is over it is good for as long as nothing changes"
    change_record(piece, {"story": "Told."}, by=None, at=NOW())
    assert not stamps.look_at(f"piece-{piece.stock_id}").open  # type: ignore[union-attr]
    assert "Told." in client.get(path).text


def test_a_change_while_a_page_is_being_made_is_not_missed(
    client: Client, piece: Instrument, monkeypatch: pytest.MonkeyPatch
) -> None:
    from catalog.public import views

    plain, path = views.listing, piece.get_absolute_url()

    def slow(*args: Any, **more: Any) -> Any:
        shown = plain(*args, **more)
        change_record(piece, {"story": "Told meanwhile."}, by=None, at=NOW())
        return shown

    monkeypatch.setattr(views, "listing", slow)
    assert "Told meanwhile." not in client.get(path).text
    monkeypatch.setattr(views, "listing", plain)
    assert "Told meanwhile." in client.get(path).text


def test_a_released_hold_frees_the_page(client: Client, piece: Instrument) -> None:
    hold = place_hold(piece, InquiryFactory(instrument=piece), by=None, at=NOW())
    path = piece.get_absolute_url()
    assert "On hold" in client.get(path).text
    release_hold(hold, by=None, at=NOW())
    assert "On hold" not in client.get(path).text
