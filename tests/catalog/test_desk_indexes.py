"""Price indexes at the desk: read by both, loaded by the owner, whole or not at all."""

from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import PriceIndex
from catalog.pricing.queries import figures_of
from shop.models import Entry, User

pytestmark = pytest.mark.django_db

SHIPPED = "US consumer prices (CPI-U)"
VALLEY = {
    "name": "Prices of the valley",
    "currency": "gbp",
    "source": "The valley’s almanac",
    "lines": "1927;10,5\n1990;25",
}


def load(client: Client, **typed: Any) -> Any:
    return client.post(reverse("index-load"), VALLEY | typed)


def test_a_helper_reads_and_the_owner_loads(
    client: Client, helpers_desk: Client, owners_desk: Client
) -> None:
    assert client.get(reverse("indexes"))["Location"].startswith(reverse("log-in"))
    page = helpers_desk.get(reverse("indexes")).content.decode()
    assert SHIPPED in page
    assert "Load the index" not in page
    assert load(helpers_desk).status_code == 403
    assert owners_desk.get(reverse("index-load")).status_code == 405
    assert "Load the index" in owners_desk.get(reverse("indexes")).content.decode()
    assert not PriceIndex.objects.filter(name=VALLEY["name"]).exists()


def test_the_index_that_is_shipped_says_in_which_years_money_it_tells(helpers_desk: Client) -> None:
    page = helpers_desk.get(reverse("indexes")).content.decode()
    assert "1913 to 2025" in page
    assert '<dd>2025 <span class="soft">(321.943)</span></dd>' in page
    assert "<b>1927</b> 17.4</li>" in page


def test_an_index_is_loaded_from_lines_or_from_a_file(owners_desk: Client, owner: User) -> None:
    assert load(owners_desk)["Location"] == reverse("indexes")
    index = PriceIndex.objects.get(name="Prices of the valley")
    assert (index.currency, index.source) == ("GBP", "The valley’s almanac")
    assert figures_of(index) == {1927: Decimal("10.5"), 1990: Decimal(25)}
    file = SimpleUploadedFile("hills.csv", "\ufeffyear,value\r\n1927,3\r\n1928,4\r\n".encode(), "text/csv")
    assert load(owners_desk, name="Prices of the hills", lines="", file=file).status_code == 302
    hills = PriceIndex.objects.get(name="Prices of the hills")
    assert figures_of(hills) == {1927: Decimal(3), 1928: Decimal(4)}
    told = Entry.objects.filter(about="priceindex", about_id=index.pk).order_by("pk")
    assert [(entry.verb, entry.field, entry.old, entry.new, entry.by) for entry in told] == [
        ("added", "", "", "Prices of the valley", owner),
        ("changed", "figures", "", "1927: 10.5\n1990: 25", owner),
    ]


def test_a_name_that_is_there_gets_new_figures_and_the_history_keeps_the_old(owners_desk: Client) -> None:
    load(owners_desk)
    load(
        owners_desk,
        name="prices  of the Valley",
        source="The almanac, revised",
        lines="1927;10,5\n1990;26\n1991;27",
    )
    index = PriceIndex.objects.get(name="Prices of the valley")
    assert figures_of(index) == {1927: Decimal("10.5"), 1990: Decimal(26), 1991: Decimal(27)}
    told = Entry.objects.filter(about="priceindex", about_id=index.pk).order_by("pk")[2:]
    assert [(entry.field, entry.old, entry.new) for entry in told] == [
        ("source", "The valley’s almanac", "The almanac, revised"),
        ("figures", "1990: 25", "1990: 26\n1991: 27"),
    ]


def test_the_same_press_twice_loads_once(owners_desk: Client) -> None:
    load(owners_desk)
    before = PriceIndex.objects.get(name="Prices of the valley").loaded_at
    load(owners_desk)
    assert PriceIndex.objects.get(name="Prices of the valley").loaded_at == before
    assert Entry.objects.filter(about="priceindex").count() == 2


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"lines": "1927;10,5\n1990;much"}, "Line 2: “much” is no figure"),
        ({"lines": ""}, "Choose a file of figures or write the figures here: one of the two."),
        ({"currency": "QQQ"}, "is no currency code"),
        ({"source": ""}, "This field is required."),
    ],
)
def test_what_cannot_be_read_changes_nothing_and_stays_typed(
    owners_desk: Client, typed: dict[str, str], says: str
) -> None:
    load(owners_desk)
    answer = load(owners_desk, **{"name": "Prices of the valley", "lines": "1927;99\n1928;99", **typed})
    assert answer.status_code == 200
    page = answer.content.decode()
    assert says in page
    assert 'value="Prices of the valley"' in page
    assert figures_of(PriceIndex.objects.get(name="Prices of the valley")) == {
        1927: Decimal("10.5"),
        1990: Decimal(25),
    }


def test_a_file_beside_lines_is_one_too_many(owners_desk: Client) -> None:
    file = SimpleUploadedFile("hills.csv", b"1927,3\n1928,4\n", "text/csv")
    assert "not both" in load(owners_desk, file=file).content.decode()


def test_a_file_that_is_no_text_is_refused(owners_desk: Client) -> None:
    file = SimpleUploadedFile("book.xlsx", b"PK\x03\x04\xff\xfe\x00", "text/csv")
    assert "The file is no plain text." in load(owners_desk, lines="", file=file).content.decode()
    large = SimpleUploadedFile("large.csv", b"1927,3\n" * 40_000, "text/csv")
    assert "larger than any list of years" in load(owners_desk, lines="", file=large).content.decode()


def test_of_two_indexes_in_one_currency_the_later_is_in_use(owners_desk: Client) -> None:
    load(owners_desk, name="Wages of joiners", currency="USD")
    rows = owners_desk.get(reverse("indexes")).context["rows"]
    assert [(str(index), in_use) for index, in_use, _ in rows] == [
        ("Wages of joiners", True),
        (SHIPPED, False),
    ]


def test_the_page_asks_a_fixed_number_of_questions(owners_desk: Client) -> None:
    with CaptureQueriesContext(connection) as few:
        owners_desk.get(reverse("indexes"))
    for name in ("One", "Two", "Three"):
        load(owners_desk, name=name)
    with CaptureQueriesContext(connection) as many:
        owners_desk.get(reverse("indexes"))
    assert len(many) - len(few) <= 1  # the notices of the loads are read once
