"""PostgreSQL's extension for trigrams: added where the database's owner may, and named where nobody may."""

from collections.abc import Iterator
from contextlib import contextmanager
from urllib.parse import urlsplit

import dj_database_url
import psycopg
import pytest
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.utils import ConnectionHandler
from psycopg import sql

from catalog.search.nearness import ExtensionMissing, extend

pytestmark = pytest.mark.django_db
ROLE = "shop_without_rights"


@contextmanager
def schema_of(url: str) -> Iterator[BaseDatabaseSchemaEditor]:
    """What a migration writes with, on the database at `url`."""
    connection = ConnectionHandler({"default": dict(dj_database_url.parse(url))})["default"]
    try:
        with connection.schema_editor(atomic=False) as editor:
            yield editor
    finally:
        connection.close()


def has_it(url: str) -> bool:
    with psycopg.connect(url) as connection:
        return bool(connection.execute("SELECT 1 FROM pg_extension WHERE extname = 'pg_trgm'").fetchone())


def test_it_is_added_once(postgres_url: str) -> None:
    with schema_of(postgres_url) as editor:
        extend(editor)
        extend(editor)
    assert has_it(postgres_url)


def test_a_user_who_may_not_add_it_reads_what_to_do(postgres_url: str) -> None:
    name = sql.Identifier(ROLE)
    with psycopg.connect(postgres_url, autocommit=True) as connection:
        connection.execute(sql.SQL("CREATE ROLE {} LOGIN").format(name))
    parts = urlsplit(postgres_url)
    poor = parts._replace(netloc=f"{ROLE}@{parts.hostname}:{parts.port}").geturl()
    try:
        with (
            schema_of(poor) as editor,
            pytest.raises(ExtensionMissing, match="run CREATE EXTENSION pg_trgm;"),
        ):
            extend(editor)
        assert not has_it(postgres_url)
        with psycopg.connect(postgres_url, autocommit=True) as connection:
            connection.execute("CREATE EXTENSION pg_trgm")
        with schema_of(poor) as editor:
            extend(editor)
    finally:
        with psycopg.connect(postgres_url, autocommit=True) as connection:
            connection.execute(sql.SQL("DROP ROLE {}").format(name))
