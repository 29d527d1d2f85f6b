"""Reading from one state of the database, so that all figures of an answer belong to one number of the book."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def snapshot() -> Iterator[None]:
    """Read everything inside from one state of the database.

    It keeps nobody from writing meanwhile, except on a SQLite without write-ahead log: there writers wait. Inside a
    transaction that has begun already, what that one sees is read: its isolation is settled.
    """
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "sqlite":
        with _reading_only(), transaction.atomic(durable=True):
            yield
    else:
        with transaction.atomic(durable=True):
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield


@contextmanager
def in_index_order() -> Iterator[None]:
    """Read a page inside along an index, whatever PostgreSQL believes of the table.

    Where nobody counted its rows yet, as after a backup was put back, it would sort all that is left for each page.
    """
    if connection.vendor == "sqlite":
        yield
        return
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET LOCAL enable_sort = off; SET LOCAL enable_bitmapscan = off")
        yield


@contextmanager
def _reading_only() -> Iterator[None]:
    """Let SQLite's transactions begin as readers: as settings have it, each would take the one lock for writing."""
    connection.ensure_connection()
    mode, connection.transaction_mode = connection.transaction_mode, "DEFERRED"  # type: ignore[attr-defined]
    try:
        yield
    finally:
        connection.transaction_mode = mode  # type: ignore[attr-defined]
