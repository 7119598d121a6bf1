"""Every dependency of every public page: each field of each row of a whole shop is changed in turn.

A page that is left as it was must still be what it would be if it were made now. So a dependency that nobody thought
of fails here, whichever deed will one day change the field.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import connection, models, transaction
from django.db.utils import DatabaseError
from django.test import Client, RequestFactory
from django.urls import resolve
from django.utils import timezone

from catalog.models import Instrument, PriceIndex
from catalog.public.depends import BOOKS, shown_columns
from catalog.public.wall import PUBLIC
from shop.kept import hearing
from shop.kept.hearing import watched
from shop.kept.middleware import MEMORY
from shop.models import ShopProfile
from tests.factories import NOON, InstrumentFactory, ShopFactory
from tests.support.addresses import Address, all_addresses
from tests.world import World, build_world

STREET = [address for address in all_addresses() if not address.route.startswith("desk/")]
PAGES = [address for address in STREET if hasattr(address.view, "depends_on")]
# Files with long lives of their own, and forms with the moment at which they were opened.
NOT_KEPT = {
    "ask", "want", "listing-report", "listing-preview", "picture", "picture-detail", "recording",
    "recording-captions", "recording-chapters", "recording-poster", "pictures-for-you", "picture-for-you",
    "want-confirm", "want-unsubscribe",
}  # fmt: skip
# Tables that are made from watched ones in the same deed, the number that a piece is named by, and the house policy:
# it is never changed, and which one a hold was made under is watched at the hold.
DERIVED = {
    "catalog_shelved",
    "catalog_said",
    "catalog_knownword",
    "catalog_knownword_near",
    "catalog_stocknumber",
    "shop_housepolicy",
}
# What cannot stand in a column of that name.
VALUES: dict[str, Any] = {
    "currency": "EUR", "time_zone": "UTC", "email": "other@post.example", "hear_at": "https://film.example/2",
    "widths": [400], "peaks": [1, 2], "when": "1899", "made": "1899", "when_edtf": "1899", "made_edtf": "1899",
    "captions": "WEBVTT\n", "chapters": "WEBVTT\n", "choices": "one\ntwo",
}  # fmt: skip


@pytest.fixture
def world(db: None, monkeypatch: pytest.MonkeyPatch) -> World:
    at = timezone.now().replace(minute=30)
    monkeypatch.setattr("django.utils.timezone.now", lambda: at)
    ShopFactory()
    world = build_world()
    index = PriceIndex.objects.create(name="Index", currency="USD", source="A book", loaded_at=NOON)
    for year in (1931, 2025):
        index.years.create(year=year, value=year)
    InstrumentFactory(listed=True, maker=world.listed.maker, kind=world.listed.kind)
    return world


def paths_of(world: World) -> list[str]:
    """An address of each kept page; a listing both while it is for sale and when it is sold."""
    paths = [page.path(world.samples) for page in PAGES]
    return [*dict.fromkeys([*paths, world.sold.get_absolute_url()])]


def body(client: Client, path: str) -> bytes:
    """The page made anew."""
    MEMORY.forget()
    answer = client.get(path)
    assert answer.status_code in {200, 301, 302, 404}, path
    return bytes(answer.content) + answer.get("Location", "").encode()


def names_of(path: str) -> set[str]:
    """What the page says that it rests on."""
    found = resolve(path.partition("?")[0])
    return set(found.func.depends_on(RequestFactory().get(path), **found.kwargs))  # type: ignore[attr-defined]


@contextmanager
def stamped(monkeypatch: pytest.MonkeyPatch) -> Iterator[set[str]]:
    """The stamps that the block puts down."""
    names: set[str] = set()
    with monkeypatch.context() as patch:
        patch.setattr(hearing, "stamp", names.update)
        yield names


def another(field: Any, value: Any, row: models.Model) -> Any:
    """Another value that may stand in the column; the same one when there is none."""
    if field.name in VALUES:
        return VALUES[field.name]
    if field.choices:
        return next((key for key, _ in field.flatchoices if key not in {value, ""}), value)
    if field.is_relation:
        other = field.related_model._base_manager.exclude(pk=value).values_list("pk", flat=True)
        return other.first() or (None if field.null else value)
    if isinstance(value, bool):
        return not value
    if isinstance(value, datetime | date):
        return value - timedelta(days=400)
    if isinstance(value, int | Decimal):
        return value + 1
    if isinstance(field, models.SlugField):
        return "zebra"
    if isinstance(field, models.CharField | models.TextField):
        return f"Zebra {value}"[: field.max_length]
    if isinstance(field, models.DateField):
        return NOON if isinstance(field, models.DateTimeField) else NOON.date()
    return 1 if value is None else value


def changes(tables: set[str]) -> Iterator[tuple[models.Model, Any, Any]]:
    """The first rows of these tables, every column of them, and another value for it."""
    for model in apps.get_models():
        if model._meta.db_table not in tables - DERIVED:
            continue
        # Of the sold piece only what differs from the listed one.
        for row in model._base_manager.order_by("pk")[: 2 if model is Instrument else 1]:
            for field in model._meta.concrete_fields:
                if not field.primary_key:
                    yield row, field, another(field, getattr(row, field.attname), row)


def tables_read(client: Client, paths: list[str]) -> dict[str, set[str]]:
    """The tables that each page reads when it is made."""
    every = set(connection.introspection.table_names())
    read: dict[str, set[str]] = {path: set() for path in paths}

    def look(execute: Any, sql: str, *rest: Any) -> Any:
        words = set(sql.replace('"', " ").replace(".", " ").split())
        read[path].update(words & every)
        return execute(sql, *rest)

    client.get("/instruments/")  # fills the shelf
    with connection.execute_wrapper(look):
        for path in paths:
            body(client, path)
    return read


def test_a_page_that_is_left_alone_is_what_it_would_be(
    client: Client, world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    paths = paths_of(world)
    read = tables_read(client, paths)
    before, rest_on = {path: body(client, path) for path in paths}, {path: names_of(path) for path in paths}
    missed, tried, books = [], 0, set()
    for row, field, value in changes(set().union(*read.values())):
        with transaction.atomic():
            try:
                with transaction.atomic(), stamped(monkeypatch) as names:
                    # Past the managers, as a deed of tomorrow might do it.
                    models.QuerySet(type(row)).filter(pk=row.pk).update(**{field.attname: value})
            except DatabaseError:  # a constraint, or a fact that stands for good
                continue
            tried += 1
            column = f"{type(row)._meta.label}.{field.name}"
            for path in paths:
                left_alone = row._meta.db_table in read[path] and not names & rest_on[path]
                if left_alone and body(client, path) != before[path]:
                    missed.append((column, path))
            if names and field.name in BOOKS - {"changed_at"}:
                books.add(column)
            transaction.set_rollback(True)
    assert missed == []
    assert tried > 150
    assert books == set(), "what no page shows stamps nothing"


def test_every_field_that_may_cross_the_wall_is_watched() -> None:
    for label, fields in PUBLIC.items():
        model = apps.get_model(label)
        columns = {column for one in watched()[model] for column in one.columns}
        assert fields <= columns, label


def test_a_private_text_or_amount_is_never_watched() -> None:
    named_elsewhere = {"catalog.Provenance.person", "catalog.Edition.mark", "shop.ShopProfile.time_zone"}
    kinds = (models.CharField, models.TextField, models.DecimalField)
    for model, watches in watched().items():
        label = model._meta.label
        columns = {column for one in watches for column in one.columns}
        private = {
            field.attname
            for field in model._meta.concrete_fields
            if isinstance(field, kinds) and not field.choices and field.name not in PUBLIC.get(label, ())
        }
        assert {f"{label}.{name}" for name in private & columns} <= named_elsewhere
    assert "floor_price" not in shown_columns(Instrument)
    assert "name" in shown_columns(ShopProfile)


def test_every_table_that_a_page_reads_is_watched(client: Client, world: World) -> None:
    known = {model._meta.db_table for model in watched()} | DERIVED
    unknown = {path: found - known for path, found in tables_read(client, paths_of(world)).items()}
    assert {path: found for path, found in unknown.items() if found} == {}


def test_no_watched_model_has_rows_that_nobody_hears_of() -> None:
    """A relation of many to many has a table of its own, which is written past the rows on both its sides."""
    for model in watched():
        assert not model._meta.local_many_to_many, model


def test_a_public_address_sets_no_cookie(client: Client, world: World) -> None:
    setting = {}
    for address in STREET:
        with transaction.atomic():
            answer = client.get(address.path(world.samples))
            if answer.streaming:
                b"".join(answer.streaming_content)
            transaction.set_rollback(True)
        if answer.cookies or "Cookie" in answer.get("Vary", ""):
            setting[address.name] = (answer.cookies.output(), answer.get("Vary", ""))
        client.cookies.clear()
    assert setting == {}


@pytest.mark.parametrize("address", STREET, ids=lambda address: address.name)
def test_a_public_address_is_kept_or_known_not_to_be(address: Address) -> None:
    assert hasattr(address.view, "depends_on") != (address.name in NOT_KEPT)
