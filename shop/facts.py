"""Facts are added, never edited: a base for rows that stand for good.

Django refuses in Python; `append_only` adds a trigger, so that the database refuses as well.
"""

from collections.abc import Callable, Iterable
from typing import Any, NoReturn, TypeVar

from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

Step = Callable[[StateApps, BaseDatabaseSchemaEditor], None]


class FactIsFixed(Exception):
    """Someone tried to change or remove a fact; the remedy is to add its opposite."""

    def __init__(self, what: str) -> None:
        super().__init__(f"A {what} is never changed or removed. Add its opposite instead.")


M_co = TypeVar("M_co", bound=models.Model, covariant=True)


class FactQuerySet(models.QuerySet[M_co]):
    """A queryset that reads and adds only."""

    def _refuse(self) -> NoReturn:
        raise FactIsFixed(str(self.model._meta.verbose_name))

    def update(self, **kwargs: Any) -> int:
        """Refuse."""
        self._refuse()

    def delete(self) -> tuple[int, dict[str, int]]:
        """Refuse."""
        self._refuse()


class FactManager(models.Manager[M_co]):
    """Hands out querysets that read and add only."""

    def get_queryset(self) -> FactQuerySet[M_co]:
        """Every row."""
        return FactQuerySet(self.model, using=self._db)


class Fact(models.Model):
    """A row that is written once."""

    objects = FactManager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write the row once; a second save is refused."""
        if not self._state.adding:
            raise FactIsFixed(str(self._meta.verbose_name))
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse."""
        raise FactIsFixed(str(self._meta.verbose_name))


SQLITE_TRIGGER = """
CREATE TRIGGER IF NOT EXISTS {table}_fixed BEFORE UPDATE ON {table}
BEGIN SELECT RAISE(ABORT, 'rows of {table} are added, never changed'); END
"""
# Only PostgreSQL guards against DELETE: on SQLite emptying a test database is a DELETE, so Python guards alone.
POSTGRES_TRIGGER = """
CREATE OR REPLACE FUNCTION fact_is_fixed() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION 'rows of % are added, never changed', TG_TABLE_NAME; END $$;
CREATE OR REPLACE TRIGGER {table}_fixed BEFORE UPDATE OR DELETE ON {table}
FOR EACH ROW EXECUTE FUNCTION fact_is_fixed();
"""


def append_only(*tables: str) -> migrations.RunPython:
    """A migration step that puts the triggers on `tables`, in the words of the database in use.

    SQLite makes a table anew to alter it, and the trigger goes with the old one: whoever alters a table of facts names
    it here once more. Where the trigger still stands, nothing changes.
    """
    return migrations.RunPython(_guard(tables), _lift(tables))


def lifted(*tables: str) -> migrations.RunPython:
    """A migration step that takes the triggers off `tables`, whose facts move; a later step puts them on again."""
    return migrations.RunPython(_lift(tables), _guard(tables))


def _guard(tables: Iterable[str]) -> Step:
    def step(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
        text = POSTGRES_TRIGGER if editor.connection.vendor == "postgresql" else SQLITE_TRIGGER
        for table in tables:
            editor.execute(text.format(table=table), params=None)  # the text's % is not a placeholder

    return step


def _lift(tables: Iterable[str]) -> Step:
    def step(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
        on = " ON {table}" if editor.connection.vendor == "postgresql" else ""
        for table in tables:
            editor.execute(f"DROP TRIGGER IF EXISTS {table}_fixed" + on.format(table=table))

    return step
