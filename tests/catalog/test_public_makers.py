"""The pages of makers and models: who is shown, what is said, and where they stand."""

import re
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.instruments.addresses import maker_address, model_address
from catalog.instruments.renaming_actions import rename_maker, rename_model
from catalog.models import (
    Feature,
    IndexYear,
    Instrument,
    ListPrice,
    Maker,
    Model,
    NumberRange,
    NumberTable,
    PriceIndex,
    UsualFeature,
)
from catalog.public.maker_queries import MOST_LINES
from tests.factories import (
    NOON,
    InstrumentFactory,
    MakerFactory,
    ModelFactory,
    PhotographFactory,
    ShopFactory,
)

pytestmark = pytest.mark.django_db
MAKERS = "/makers/"


@pytest.fixture(autouse=True)
def shop(db: None) -> None:
    ShopFactory()


@pytest.fixture
def model() -> Model:
    maker = MakerFactory(
        name="Halloran & Pike", town="Tarrow Mills", years="1889 to 1939", note="Two drummers."
    )
    return ModelFactory(maker=maker, name="Clarion No. 3")


def usual(model: Model, what: str = "Rim", value: str = "Maple", **more: Any) -> UsualFeature:
    row = {"source": "Catalogue of 1926", "page": "p. 6", **more}
    return UsualFeature.objects.create(model=model, what=what, value=value, **row)


def table(maker: Maker, lines: int = 2, **more: Any) -> NumberTable:
    made = NumberTable.objects.create(maker=maker, source="The wage book", loaded_at=NOON, **more)
    for number in range(lines):
        NumberRange.objects.create(
            table=made,
            prefix="A",
            first=100 * number + 1,
            last=100 * number + 99,
            when=str(1900 + number % 30),
            page="12",
        )
    return made


def site_map(client: Client) -> str:
    """Every file of the site map in one text."""
    files = re.findall(r"<loc>http://testserver(/sitemap-[0-9]+\.xml)</loc>", client.get("/sitemap.xml").text)
    return "".join(client.get(path).text for path in files or ["/sitemap.xml"])


def shown_makers(client: Client) -> list[str]:
    return [line.name for line in client.get(MAKERS).context["makers"]]


def test_an_empty_book_says_so(client: Client) -> None:
    assert "No maker is told of here yet." in client.get(MAKERS).text


@pytest.mark.parametrize("facts", [False, True])
@pytest.mark.parametrize("state", ["draft", "withdrawn"])
def test_a_name_that_unpublished_records_alone_bear_is_nowhere(
    client: Client, model: Model, state: str, facts: bool
) -> None:
    InstrumentFactory(model=model, state=state)
    if facts:
        usual(model)
        table(model.maker)
    for path in (maker_address(model.maker), model_address(model)):
        assert client.get(path).status_code == 404
        assert path not in site_map(client)
    assert "Halloran" not in client.get(MAKERS).text


@pytest.mark.parametrize("state", ["listed", "sold"])
def test_a_public_piece_brings_its_maker_and_model(client: Client, model: Model, state: str) -> None:
    InstrumentFactory(model=model, **{state: True})
    assert shown_makers(client) == ["Halloran & Pike"]
    for path in (maker_address(model.maker), model_address(model)):
        assert client.get(path).status_code == 200
        assert f"<loc>http://testserver{path}</loc>" in site_map(client)


def test_a_name_with_sourced_facts_is_shown_while_no_unpublished_record_bears_it(
    client: Client, model: Model
) -> None:
    assert shown_makers(client) == []
    usual(model)
    assert shown_makers(client) == ["Halloran & Pike"]
    assert client.get(model_address(model)).status_code == 200
    once = InstrumentFactory(model=model, state="withdrawn", listed_at=NOON)
    assert client.get(model_address(model)).status_code == 200, "it was public already"
    once.delete()
    InstrumentFactory(model=model)
    assert shown_makers(client) == []


def test_a_retired_table_is_no_fact(client: Client, model: Model) -> None:
    made = table(model.maker)
    assert shown_makers(client) == ["Halloran & Pike"]
    NumberTable.objects.filter(pk=made.pk).update(retired_at=NOON)
    assert shown_makers(client) == []


def test_a_model_of_a_shown_maker_stays_hidden_while_only_a_draft_bears_it(
    client: Client, model: Model
) -> None:
    InstrumentFactory(model=model, listed=True)
    secret = InstrumentFactory(model=ModelFactory(maker=model.maker, name="Belltower")).model
    usual(secret)
    Feature.objects.create(
        maker=model.maker, model=secret, name="Bell inlay", when="1929", source="Catalogue"
    )
    page = client.get(maker_address(model.maker))
    assert "Belltower" not in page.text
    assert "Bell inlay" not in page.text
    assert [line.name for line in page.context["maker"].models] == ["Clarion No. 3"]
    assert client.get(model_address(secret)).status_code == 404
    assert model_address(secret) not in site_map(client)
    assert [line.models for line in client.get(MAKERS).context["makers"]] == [1]


def test_a_makers_page_tells_numbers_features_and_pieces(client: Client, model: Model) -> None:
    maker = model.maker
    table(maker)
    Feature.objects.create(
        maker=maker, name="Two-way lugs", when="not before 1921", source="Catalogue of 1921", page="4"
    )
    Feature.objects.create(
        maker=maker, model=model, name="Star inlay", when="1926", source="Catalogue of 1926"
    )
    here = InstrumentFactory(model=model, listed=True)
    gone = InstrumentFactory(model=model, sold=True)
    PhotographFactory(instrument=gone, lead=True)
    hidden = InstrumentFactory(model=model)
    answer = client.get(maker_address(maker))
    for told in (
        "Tarrow Mills, 1889 to 1939",
        "Two drummers.",
        "Serial numbers, 1900 to 1901",
        "The wage book",
        "A1 to A99",
        "p. 12",
        "Two-way lugs",
        "Catalogue of 1921, p. 4",
        "on the Clarion No. 3",
        "1 for sale",
        "1 sold",
        f'href="{here.get_absolute_url()}"',
        f'href="{gone.get_absolute_url()}"',
    ):
        assert told in answer.text, told
    assert str(hidden.stock_id) not in answer.text
    assert answer.context["maker"].pieces.lead.stock == gone.stock_id


def test_a_models_page_tells_what_is_usual_and_what_it_cost(client: Client, model: Model) -> None:
    usual(model, "Tailpiece", "Plain", when="1921 to 1925")
    usual(model, "Tailpiece", "Pierced", when="not before 1926", page="9")
    PriceIndex.objects.all().delete()
    index = PriceIndex.objects.create(
        name="Index of Dunmere", currency="USD", source="Almanac", loaded_at=NOON
    )
    for year, value in ((1926, "20"), (2025, "300")):
        IndexYear.objects.create(index=index, year=year, value=Decimal(value))
    price = {"model": model, "currency": "USD", "source": "Price list", "page": "6"}
    ListPrice.objects.create(year=1926, amount=Decimal(55), what="without case", **price)
    ListPrice.objects.create(year=1899, amount=Decimal(40), **price)
    page = client.get(model_address(model))
    for told in (
        "Plain (1921 to 1925)",
        "Pierced (not before 1926)",
        "Catalogue of 1926, p. 9",
        "$55",
        "without case",
        "Price list, p. 6",
        "About $825 in the money of 2025, by Index of Dunmere.",
        "That is a change of money, not a valuation.",
        "$55 × 300 (2025) ÷ 20 (1926)",
        "The index “Index of Dunmere” runs from 1926 to 2025, so the amount of 1899 stands as it was.",
    ):
        assert told in page.text, told
    [thing] = page.context["model"].usual
    assert [value for value, _ in thing.values] == ["Plain (1921 to 1925)", "Pierced (not before 1926)"]


def test_a_price_without_an_index_stands_as_it_was(client: Client, model: Model) -> None:
    ListPrice.objects.create(model=model, year=1926, amount=Decimal(5), currency="GBP", source="Price list")
    page = client.get(model_address(model)).text
    assert "There is no price index in GBP here" in page
    assert "not a valuation" not in page


def test_those_that_passed_through_here_stand_by_pages_and_later_sales_first(
    client: Client, model: Model
) -> None:
    sold = [InstrumentFactory(model=model, sold=True, sold_at=NOON - timedelta(days=n)) for n in range(25)]
    InstrumentFactory(model=ModelFactory(maker=model.maker, name="Other"), sold=True)
    first = client.get(model_address(model)).context["model"].pieces
    assert [card.stock for card in first.sold] == [row.stock_id for row in sold[:24]]
    second = client.get(model_address(model), {"page": "2"}).context["model"].pieces
    assert [card.stock for card in second.sold] == [sold[24].stock_id]
    maker = client.get(maker_address(model.maker))
    assert maker.context["maker"].pieces.all_sold == "/sold/?maker=halloran-pike"
    assert "All 26 in the sold archive" in maker.text


def test_a_long_table_is_folded_and_its_first_lines_are_read(client: Client, model: Model) -> None:
    table(model.maker, lines=MOST_LINES + 5)
    answer = client.get(maker_address(model.maker))
    [numbers] = answer.context["maker"].numbers
    assert (len(numbers.lines), numbers.many) == (MOST_LINES, MOST_LINES + 5)
    assert "205 lines, of which the first 200 are here" in answer.text


def test_old_addresses_of_maker_and_model_lead_to_the_new_ones_for_good(client: Client, model: Model) -> None:
    InstrumentFactory(model=model, listed=True)
    old_maker, old_model = maker_address(model.maker), model_address(model)
    rename_maker(model.maker, "Pike & Daughters", was="Halloran & Pike", by=None, at=NOON)
    rename_model(model, "Clarion", was="Clarion No. 3", by=None, at=NOON)
    for old, new in (
        (old_maker, "/makers/pike-daughters/"),
        (old_model, "/makers/pike-daughters/clarion/"),
        ("/makers/pike-daughters/clarion-no-3/", "/makers/pike-daughters/clarion/"),
        ("/makers/halloran-pike/clarion/", "/makers/pike-daughters/clarion/"),
    ):
        answer = client.get(old)
        assert (answer.status_code, answer["Location"]) == (301, new), old
        assert client.get(new).status_code == 200
    assert "Pike &amp; Daughters" in client.get("/makers/pike-daughters/clarion/").text


def test_an_old_address_of_a_hidden_maker_leads_nowhere(client: Client, model: Model) -> None:
    InstrumentFactory(model=model)
    rename_maker(model.maker, "Pike", was="Halloran & Pike", by=None, at=NOON)
    assert client.get("/makers/halloran-pike/").status_code == 404
    assert client.get("/makers/halloran-pike/clarion-no-3/").status_code == 404


def test_two_makers_whose_names_coincide_in_addresses_have_two_pages(client: Client, model: Model) -> None:
    other = InstrumentFactory(model__maker__name="Halloran-Pike", listed=True).model
    InstrumentFactory(model=model, listed=True)
    assert maker_address(model.maker) == "/makers/halloran-pike/"
    assert maker_address(other.maker) == "/makers/halloran-pike-2/"
    assert client.get("/makers/halloran-pike/").context["maker"].name == "Halloran & Pike"
    assert client.get("/makers/halloran-pike-2/").context["maker"].name == "Halloran-Pike"


def test_a_name_without_a_letter_for_addresses_has_a_page(client: Client) -> None:
    model = InstrumentFactory(model__maker__name="森", model__name="★", listed=True).model
    assert model_address(model) == "/makers/maker/model/"
    assert client.get("/makers/maker/model/").context["model"].name == "★"


@pytest.mark.parametrize(
    "path", ["/makers/nobody/", "/makers/nobody/nothing/", "/makers/halloran-pike/nothing/"]
)
def test_what_is_not_there_is_not_found(client: Client, model: Model, path: str) -> None:
    InstrumentFactory(model=model, listed=True)
    assert client.get(path).status_code == 404


def test_the_pages_ask_as_often_for_many_as_for_one(client: Client, model: Model) -> None:
    def more(many: int) -> None:
        for n in range(many):
            other = ModelFactory(maker=model.maker, name=f"Model {Model.objects.count()}")
            for one in (model, other):
                for state in ({"listed": True}, {"sold": True}):
                    PhotographFactory(instrument=InstrumentFactory(model=one, **state), lead=True)
                usual(one, what=f"Thing {n}")
                ListPrice.objects.create(model=one, year=1926, amount=Decimal(5), source="Price list")
                Feature.objects.create(maker=model.maker, model=one, name="Star", when="1926", source="List")
            table(model.maker, what=["serial", "batch", "other"][n % 3])
            InstrumentFactory(listed=True)
        PriceIndex.objects.create(
            name=f"Index {PriceIndex.objects.count()}", currency="USD", source="Almanac", loaded_at=NOON
        )

    def asked() -> list[int]:
        counts = []
        for path in (MAKERS, maker_address(model.maker), model_address(model)):
            with CaptureQueriesContext(connection) as seen:
                assert client.get(path).status_code == 200
            counts.append(len(seen))
        return counts

    more(1)
    few = asked()
    more(5)
    assert asked() == few
    assert max(few) <= 24
    assert Instrument.objects.count() == 30


def test_other_methods_are_refused(client: Client, model: Model) -> None:
    InstrumentFactory(model=model, listed=True)
    for path in (MAKERS, maker_address(model.maker), model_address(model)):
        assert client.post(path).status_code == 405
    assert reverse("makers-list") == MAKERS
