"""Makers and models at the desk: what is said of them, what is usual, what it cost new."""

from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import Kind, ListPrice, Model, UsualFeature
from shop.models import Entry, User
from tests.factories import InstrumentFactory, MakerFactory, ModelFactory

pytestmark = pytest.mark.django_db


def sheet(model: Model) -> str:
    return reverse("model-sheet", args=[model.pk])


def as_shown(client: Client, model: Model) -> dict[str, Any]:
    """Everything that the page would send back if Save were pressed at once."""
    context = client.get(sheet(model)).context
    lists = [context["sheet"].usual, context["sheet"].prices]
    fields = [field for rows in lists for form in [rows.management_form, *rows] for field in form]
    shown = {field.html_name: field.value() for field in fields}
    shown = {name: value for name, value in shown.items() if value is not None and value is not False}
    return {**shown, "as-shown": context["mark"]}


def usual(place: int = 0, **typed: str) -> dict[str, str]:
    row = {"what": "Tailpiece", "value": "Plain", "source": "Price list of 1927", "page": "4", **typed}
    return {f"usual-{place}-{name}": value for name, value in row.items()}


def price(place: int = 0, **typed: str) -> dict[str, str]:
    row = {"year": "1927", "amount": "125", "currency": "usd", "source": "Price list of 1927", **typed}
    return {f"prices-{place}-{name}": value for name, value in row.items()}


def test_these_pages_are_the_desks(client: Client, helpers_desk: Client) -> None:
    model = ModelFactory()
    for path in [reverse("makers"), reverse("maker", args=[model.maker_id]), sheet(model)]:
        assert client.get(path)["Location"].startswith(reverse("log-in"))
        assert helpers_desk.get(path).status_code == 200
        assert helpers_desk.put(path).status_code == 405
    assert helpers_desk.get(reverse("maker", args=[9_999_999])).status_code == 404
    assert helpers_desk.get(reverse("model-sheet", args=[9_999_999])).status_code == 404


def test_the_stock_page_leads_to_the_makers(helpers_desk: Client) -> None:
    assert f'href="{reverse("makers")}"' in helpers_desk.get(reverse("stock")).content.decode()


def test_makers_and_models_are_counted_in_a_fixed_number_of_questions(helpers_desk: Client) -> None:
    maker = MakerFactory(name="Aldous Brantley")
    model = ModelFactory(maker=maker, name="Nightjar")
    InstrumentFactory.create_batch(2, model=model)
    UsualFeature.objects.create(model=model, what="Rim", value="Maple", source="List")
    for name in ("makers", "maker"):
        path = reverse(name, args=[maker.pk] if name == "maker" else [])
        with CaptureQueriesContext(
            connection,
        ) as few:
            page = helpers_desk.get(path).content.decode()
        assert "Aldous Brantley" in page
        for _ in range(3):
            InstrumentFactory(model=ModelFactory(maker=maker, name=f"Model {Model.objects.count()}"))
        with CaptureQueriesContext(connection) as many:
            helpers_desk.get(path)
        assert len(many) == len(few)
    [row] = [one for one in helpers_desk.get(reverse("makers")).context["makers"] if one == maker]
    assert (row.kept, row.pieces) == (7, 8)
    [row] = [one for one in helpers_desk.get(path).context["models"] if one == model]
    assert (row.things, row.prices, row.pieces) == (1, 0, 2)


def test_what_is_said_of_a_maker_is_kept_with_its_history(helpers_desk: Client, helper: User) -> None:
    maker = MakerFactory(town="Dunmere", note="")
    path = reverse("maker", args=[maker.pk])
    typed = {"town": "Harrow Ford", "years": "1885 to 1937", "note": "Rims by hand.\r\nNo catalogue."}
    assert helpers_desk.post(path, typed)["Location"] == path
    helpers_desk.post(path, typed)
    maker.refresh_from_db()
    assert (maker.town, maker.years, maker.note) == (
        "Harrow Ford",
        "1885 to 1937",
        "Rims by hand.\nNo catalogue.",
    )
    told = Entry.objects.filter(about="maker", about_id=maker.pk).order_by("pk")
    assert [(entry.field, entry.old, entry.new, entry.by) for entry in told] == [
        ("town", "Dunmere", "Harrow Ford", helper),
        ("years of work", "", "1885 to 1937", helper),
        ("note", "", "Rims by hand.\nNo catalogue.", helper),
    ]
    assert "Harrow Ford" in helpers_desk.get(path).content.decode()


def test_a_maker_with_too_long_a_town_is_not_changed_and_stays_typed(helpers_desk: Client) -> None:
    maker = MakerFactory(town="Dunmere")
    path = reverse("maker", args=[maker.pk])
    page = helpers_desk.post(path, {"town": "X" * 121, "years": "1900"}).content.decode()
    assert 'value="1900"' in page
    maker.refresh_from_db()
    assert (maker.town, maker.years) == ("Dunmere", "")


def test_both_lists_of_a_model_are_kept_by_one_save(helpers_desk: Client, helper: User) -> None:
    piece = InstrumentFactory()
    model = piece.model
    scale = piece.kind.measures.get(slug="scale-length")
    typed = (
        as_shown(helpers_desk, model)
        | usual(when="1925 to 1931")
        | usual(1, what="Scale length", measure=str(scale.pk), value="26 to 26 1/2 in", page="")
        | price(amount="$1,125.50", what="gold-plated", page="12")
    )
    assert helpers_desk.post(sheet(model), typed)["Location"] == sheet(model)
    assert [
        (row.what, row.measure, row.value, row.when, row.when_earliest, row.when_latest, row.source, row.page)
        for row in model.usual.all()
    ] == [
        ("Scale length", scale, "26 to 26 1/2 in", "", None, None, "Price list of 1927", ""),
        ("Tailpiece", None, "Plain", "1925 to 1931", 1925, 1931, "Price list of 1927", "4"),
    ]
    [row] = model.list_prices.all()
    assert (row.year, row.amount, row.currency, row.what) == (1927, Decimal("1125.50"), "USD", "gold-plated")
    told = Entry.objects.filter(about="model", about_id=model.pk, verb="changed").order_by("field")
    assert [(entry.field, entry.old, entry.new, entry.by) for entry in told] == [
        (
            "list prices",
            "",
            "1927 · 1125.50 · USD · gold-plated · Price list of 1927 · 12",
            helper,
        ),
        (
            "what is usual",
            "",
            "Scale length · Scale length · 26 to 26 1/2 in · Price list of 1927\n"
            "1925 to 1931 · Tailpiece · Plain · Price list of 1927 · 4",
            helper,
        ),
    ]


def test_saving_what_is_shown_changes_nothing(helpers_desk: Client) -> None:
    piece = InstrumentFactory()
    model = piece.model
    scale = piece.kind.measures.get(slug="scale-length")
    UsualFeature.objects.create(
        model=model, what="Scale length", value="26 1/4 in", measure=scale, source="List", when="c. 1927"
    )
    ListPrice.objects.create(model=model, year=1927, amount=Decimal(125), source="List")
    before = [list(model.usual.values()), list(model.list_prices.values())]
    assert helpers_desk.post(sheet(model), as_shown(helpers_desk, model)).status_code == 302
    assert [list(model.usual.values()), list(model.list_prices.values())] == before
    assert not Entry.objects.filter(about="model", verb="changed").exists()


def test_rows_are_changed_and_removed(helpers_desk: Client) -> None:
    model = ModelFactory()
    UsualFeature.objects.create(model=model, what="Rim", value="Maple", source="List")
    ListPrice.objects.create(model=model, year=1927, amount=Decimal(125), source="List")
    typed = {"usual-0-value": "Walnut", "prices-0-DELETE": "on"}
    assert helpers_desk.post(sheet(model), as_shown(helpers_desk, model) | typed).status_code == 302
    assert [row.value for row in model.usual.all()] == ["Walnut"]
    assert not model.list_prices.exists()


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        (usual(source=""), "This field is required."),
        (usual(when="when it rained"), "cannot be read as a date"),
        (price(source=""), "This field is required."),
        (price(year="27"), "Write a year from 1700 to 2100."),
        (price(amount="cheap"), "cannot be read"),
        (price(amount="0"), "Write an amount above nought"),
        (price(currency="QQQ"), "is no currency code"),
    ],
)
def test_a_slip_in_one_list_keeps_nothing_of_either(
    helpers_desk: Client, typed: dict[str, str], says: str
) -> None:
    model = ModelFactory()
    good = usual(2, what="Rim", value="Maple of the hills") | price(2, what="plain")
    answer = helpers_desk.post(sheet(model), as_shown(helpers_desk, model) | good | typed)
    assert answer.status_code == 200
    page = answer.content.decode()
    assert says in page
    assert 'value="Maple of the hills"' in page
    assert not model.usual.exists()
    assert not model.list_prices.exists()


def test_an_amount_too_large_for_the_book_is_refused(helpers_desk: Client) -> None:
    model = ModelFactory()
    answer = helpers_desk.post(sheet(model), as_shown(helpers_desk, model) | price(amount="123,456,789.00"))
    assert answer.status_code == 200
    assert not model.list_prices.exists()


def test_what_is_compared_by_measure_must_be_one(helpers_desk: Client) -> None:
    piece = InstrumentFactory()
    scale = piece.kind.measures.get(slug="scale-length")
    row = usual(what="Scale length", measure=str(scale.pk), value="short")
    page = helpers_desk.post(sheet(piece.model), as_shown(helpers_desk, piece.model) | row).content.decode()
    assert "“short” cannot be read as a measure." in page
    assert not piece.model.usual.exists()


def test_one_thing_is_compared_in_one_way(helpers_desk: Client) -> None:
    piece = InstrumentFactory()
    scale = piece.kind.measures.get(slug="scale-length")
    rows = usual(what="Scale length", measure=str(scale.pk), value="26 in")
    rows |= usual(1, what="scale  length", value="Short")
    page = helpers_desk.post(sheet(piece.model), as_shown(helpers_desk, piece.model) | rows).content.decode()
    assert "Another row compares the same thing in another way." in page
    assert not piece.model.usual.exists()


def test_only_the_measures_of_its_own_kind_are_offered(helpers_desk: Client) -> None:
    piece = InstrumentFactory()
    context = helpers_desk.get(sheet(piece.model)).context
    offered = [name for _, name in context["sheet"].usual.forms[0].fields["measure"].choices]
    assert offered == ["In words", *piece.kind.measures.values_list("name", flat=True)]
    unused = helpers_desk.get(sheet(ModelFactory())).context["sheet"].usual.forms[0].fields["measure"]
    assert "Banjo: Scale length" in [name for _, name in unused.choices]


def test_a_page_that_was_overtaken_is_refused_once(helpers_desk: Client) -> None:
    model = ModelFactory()
    stale = as_shown(helpers_desk, model)
    helpers_desk.post(sheet(model), stale | usual())
    again = helpers_desk.post(sheet(model), stale | usual())
    assert "These lists were changed after you opened the page." in again.content.decode()
    assert model.usual.count() == 1
    assert (
        helpers_desk.post(
            sheet(model), stale | usual(what="Rim") | {"as-shown": again.context["mark"]}
        ).status_code
        == 302
    )
    assert model.usual.count() == 2


def test_rows_of_another_model_are_out_of_reach(helpers_desk: Client) -> None:
    mine, other = ModelFactory(), ModelFactory()
    row = UsualFeature.objects.create(model=other, what="Rim", value="Maple", source="List")
    typed = as_shown(helpers_desk, mine) | usual(what="Stolen") | {"usual-0-id": str(row.pk)}
    typed |= {"usual-INITIAL_FORMS": "1"}
    helpers_desk.post(sheet(mine), typed)
    row.refresh_from_db()
    assert (row.model, row.what) == (other, "Rim")


def test_the_model_sheet_asks_a_fixed_number_of_questions(helpers_desk: Client) -> None:
    piece = InstrumentFactory()
    scale = piece.kind.measures.get(slug="scale-length")

    def more(count: int) -> None:
        for n in range(count):
            UsualFeature.objects.create(
                model=piece.model, what=f"Thing {n}", value="26 in", measure=scale, source="List"
            )
            ListPrice.objects.create(model=piece.model, year=1927 + n, amount=Decimal(100), source="List")

    more(1)
    with CaptureQueriesContext(connection) as few:
        helpers_desk.get(sheet(piece.model))
    more(5)
    with CaptureQueriesContext(connection) as many:
        helpers_desk.get(sheet(piece.model))
    assert len(many) == len(few)


def test_a_measure_that_a_model_is_compared_by_stays_on_its_sheet(owners_desk: Client) -> None:
    model = ModelFactory(maker__name="Aldous Brantley", name="Nightjar")
    measures = Kind.objects.get(slug="banjo").measures
    scale = measures.get(slug="scale-length")
    UsualFeature.objects.create(model=model, what="Scale", value="26 in", measure=scale, source="List")
    path = reverse("kind-sheet", args=["banjo", "measures"])
    rows = owners_desk.get(path).context["rows"]
    fields = [field for form in [rows.management_form, *rows] for field in form]
    shown = {field.html_name: field.value() or "" for field in fields}
    place = next(name for name, value in shown.items() if value == "Scale length").removesuffix("-name")
    page = owners_desk.post(path, shown | {f"{place}-DELETE": "on"}).content.decode()
    assert "It is used by what is usual on the Aldous Brantley Nightjar." in page
    assert measures.filter(pk=scale.pk).exists()
