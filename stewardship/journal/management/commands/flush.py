"""Django's flush, which the test runner calls between transactional tests, with the book's guard lifted."""

from typing import Any

from django.core import mail
from django.core.management.base import CommandError
from django.core.management.commands import flush
from django.db import connections, transaction

from stewardship.journal.guard import guard_lifted

KEPT = frozenset({"django_migrations", "django_content_type", "auth_permission"})
"""Tables that say the same after every migration: nothing that a test does changes them."""


class Command(flush.Command):
    """Empty every table of a test database that has rows; a real record book is never emptied."""

    def handle(self, **options: Any) -> None:
        """Refuse outside a test run, whose databases are never the real one."""
        if not hasattr(mail, "outbox"):  # Django makes it for the time of a test run only
            raise CommandError("The record book is never emptied. Begin a new data folder instead.")
        connection = connections[options["database"]]
        with guard_lifted(connection), transaction.atomic(using=connection.alias), connection.cursor() as cursor:
            for table in _with_rows(connection, cursor):  # keys are checked at the end: in any order
                cursor.execute(f"DELETE FROM {connection.ops.quote_name(table)}")


def _with_rows(connection: Any, cursor: Any) -> list[str]:
    tables = sorted(set(connection.introspection.django_table_names(only_existing=True, include_views=False)) - KEPT)
    name = connection.ops.quote_name
    looks = [f"SELECT {i} WHERE EXISTS (SELECT 1 FROM {name(table)})" for i, table in enumerate(tables)]
    cursor.execute(" UNION ALL ".join(looks))
    return [tables[place] for (place,) in cursor.fetchall()]
