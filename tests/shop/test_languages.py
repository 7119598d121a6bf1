"""The language of a page stands in its address, and nothing else chooses it."""

import pytest
from django.conf import settings
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils import translation

from shop.languages.addresses import in_every_language, in_language, language_of
from shop.languages.middleware import LanguageOfAddress
from tests.factories import InstrumentFactory, ShopFactory


@pytest.mark.parametrize(
    ("path", "code"),
    [
        ("/", "en"),
        ("/makers/", "en"),
        ("/de/", "de"),
        ("/de", "de"),
        ("/de/makers/", "de"),
        ("/desk/", "en"),
        ("/den/", "en"),
        ("/en/makers/", "en"),
        ("/fr/makers/", "en"),
        ("/makers/de/", "en"),
    ],
)
def test_the_beginning_of_the_path_says_the_language(path: str, code: str) -> None:
    assert language_of(path) == code


@pytest.mark.parametrize("path", ["/", "/makers/", "/instruments/1001-a-banjo/"])
def test_an_address_leads_to_the_same_page_in_the_other_language_and_back(path: str) -> None:
    german = in_language(path, "de")
    assert german == f"/de{path}"
    assert in_language(german, "en") == path
    assert in_language(german, "de") == german
    assert in_every_language(path) == in_every_language(german) == [("en", path), ("de", german)]


@pytest.mark.parametrize(
    "path", ["/desk/", "/feed.atom", "/sitemap.xml", "/robots.txt", "/nothing-here/", "/en/makers/"]
)
def test_what_is_not_for_reading_has_one_address(path: str) -> None:
    assert in_every_language(path) == []


def test_addresses_are_given_in_the_language_of_the_page() -> None:
    assert reverse("makers-list") == "/makers/"
    with translation.override("de"):
        assert reverse("makers-list") == "/de/makers/"
        assert reverse("today") == "/desk/"
        assert reverse("feed") == "/feed.atom"


def test_an_answer_leaves_no_language_behind() -> None:
    seen = []
    middleware = LanguageOfAddress(lambda request: seen.append(translation.get_language()))  # type: ignore[arg-type,return-value]
    for path in ("/de/makers/", "/desk/", "/makers/"):
        middleware(RequestFactory().get(path))
        assert translation.get_language() == settings.LANGUAGE_CODE
    assert seen == ["de", "en", "en"]


@pytest.mark.django_db
def test_neither_a_cookie_nor_the_browsers_wish_chooses(client: Client) -> None:
    ShopFactory()
    client.cookies[settings.LANGUAGE_COOKIE_NAME] = "de"
    answer = client.get("/makers/", headers={"accept-language": "de"})
    assert '<html lang="en">' in answer.text
    assert "language" not in answer.get("Vary", "").lower()
    assert '<html lang="de">' in client.get("/de/makers/", headers={"accept-language": "en"}).text


@pytest.mark.django_db
def test_a_piece_is_kept_in_each_language_apart(client: Client) -> None:
    ShopFactory()
    piece = InstrumentFactory(listed=True)
    english = piece.get_absolute_url()
    german = in_language(english, "de")
    first, second = client.get(english), client.get(german)
    assert first["ETag"] != second["ETag"]
    again = client.get(german, headers={"if-none-match": second["ETag"]})
    assert again.status_code == 304
    assert client.get(english, headers={"if-none-match": second["ETag"]}).status_code == 200
    assert '<html lang="de">' in client.get(german).text
    assert '<html lang="en">' in client.get(english).text


@pytest.mark.django_db
def test_an_old_address_leads_to_the_new_one_in_its_language(client: Client) -> None:
    ShopFactory()
    piece = InstrumentFactory(listed=True)
    answer = client.get(f"/de/instruments/{piece.stock_id}-once-otherwise/")
    assert answer.status_code == 301
    assert answer["Location"] == in_language(piece.get_absolute_url(), "de")
    assert client.get("/de")["Location"] == "/de/"
    assert client.get("/de/instruments/?maker=")["Location"] == "/de/instruments/"
    assert client.get("/de/feed.atom").status_code == 404


@pytest.mark.django_db
def test_a_page_that_is_not_there_says_so_in_the_language_of_its_address(client: Client) -> None:
    ShopFactory()
    answer = client.get("/de/nothing-here/")
    assert answer.status_code == 404
    assert '<html lang="de">' in answer.text
