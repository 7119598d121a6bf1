"""Known words by their trigrams, in the words of the database in use.

SQLite: a full-text table (FTS5, trigram) over the padded words, kept by triggers on the table of known words.
PostgreSQL: an index of the extension pg_trgm. Either hands over every word that `rules.near` may accept, and some
more; the rule decides.
"""

from django.db import connection, migrations, transaction
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps
from django.db.utils import ProgrammingError

from catalog.search.rules import can_be_mistyped, trigrams

# One slip in a word of four letters leaves at least one of nine trigrams in common.
LEAST_ALIKE = "0.1"

SQLITE = (
    """CREATE VIRTUAL TABLE {0}_near USING fts5(padded, tokenize = "trigram case_sensitive 1")""",
    """CREATE TRIGGER {0}_in AFTER INSERT ON {0} BEGIN
    INSERT INTO {0}_near(rowid, padded) VALUES (new.id, '  ' || new.word || ' '); END""",
    """CREATE TRIGGER {0}_out AFTER DELETE ON {0} BEGIN
    DELETE FROM {0}_near WHERE rowid = old.id; END""",
)
SQLITE_BACK = ("DROP TRIGGER {0}_in", "DROP TRIGGER {0}_out", "DROP TABLE {0}_near")
POSTGRES_INDEX = "CREATE INDEX {0}_near ON {0} USING gin (word gin_trgm_ops)"

NO_EXTENSION = (
    "The database needs the extension pg_trgm, and its user may not add it. As an administrator of PostgreSQL, run "
    "CREATE EXTENSION pg_trgm; in this database, and then migrate again."
)

ALIKE_ON_SQLITE = """SELECT k.word FROM {0}_near n JOIN {0} k ON k.id = n.rowid
WHERE {0}_near MATCH %s AND length(k.word) BETWEEN %s AND %s"""
ALIKE_ON_POSTGRES = """SELECT word FROM {0}
WHERE word %% %s AND length(word) BETWEEN %s AND %s"""
PAGES = "catalog_knownword"  # the words of the public pages
FARTHEST = 4  # letters by which the length of a word that was meant may differ


class ExtensionMissing(Exception):
    """PostgreSQL has no pg_trgm, and this user cannot add it."""


def words_alike(asked: str, table: str = PAGES) -> list[str]:
    """Words known to `table` that may have been meant by one that can be mistyped; empty for others."""
    if not can_be_mistyped(asked):
        return []
    lengths = (len(asked) - FARTHEST, len(asked) + FARTHEST)
    if connection.vendor == "sqlite":
        return _words(ALIKE_ON_SQLITE.format(table), (_any_of(asked), *lengths))
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SELECT set_config('pg_trgm.similarity_threshold', %s, true)", [LEAST_ALIKE])
        return _words(ALIKE_ON_POSTGRES.format(table), (asked, *lengths))


def _any_of(asked: str) -> str:
    """FTS5: any of the word's trigrams. The rules leave letters and figures alone in a word, so quotes are safe."""
    return " OR ".join(f'"{trigram}"' for trigram in sorted(trigrams(asked)))


def _words(statement: str, values: tuple[str | int, ...]) -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        return [word for (word,) in cursor.fetchall()]


def trigram_index(table: str = PAGES) -> migrations.RunPython:
    """A migration step that lets the words known to `table` be found by their trigrams."""

    def forwards(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
        if editor.connection.vendor == "postgresql":
            extend(editor)
            editor.execute(POSTGRES_INDEX.format(table))
            return
        for statement in SQLITE:
            editor.execute(statement.format(table))

    def backwards(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
        if editor.connection.vendor == "postgresql":
            editor.execute(f"DROP INDEX {table}_near")
            return
        for statement in SQLITE_BACK:
            editor.execute(statement.format(table))

    return migrations.RunPython(forwards, backwards)


def extend(editor: BaseDatabaseSchemaEditor) -> None:
    """Add pg_trgm, unless it is there. Raises ExtensionMissing, which says what to do, when this user may not."""
    with editor.connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM pg_extension WHERE extname = 'pg_trgm'")
        if cursor.fetchone():
            return
    try:
        editor.execute("CREATE EXTENSION IF NOT EXISTS pg_trgm")
    except ProgrammingError as error:
        raise ExtensionMissing(NO_EXTENSION) from error
