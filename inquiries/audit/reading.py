"""One consistent look at the database, however long it takes and whatever is done to the shop meanwhile."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction

# The instant of a read is that of its first look at a table.
BEGINS = "SELECT COUNT(*) FROM shop_series"


@contextmanager
def one_read() -> Iterator[None]:
    """All that is read inside stands as of one instant, and nothing can be written; nobody else has to wait.

    Inside a transaction that has begun already (as in a test) it is that transaction's own view.
    """
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "postgresql":
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
                cursor.execute(BEGINS)
            yield
    else:
        with _one_read_on_sqlite():
            yield


@contextmanager
def _one_read_on_sqlite() -> Iterator[None]:
    """A transaction that begins as a read: the one that Django begins takes the lock of writers at once."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA query_only = ON")
        cursor.execute("BEGIN DEFERRED")
        cursor.execute(BEGINS)
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("ROLLBACK")
            cursor.execute("PRAGMA query_only = OFF")
