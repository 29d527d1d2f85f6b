"""Django's flush, which the test runner calls between transactional tests, with the book's guard lifted."""

from typing import Any

from django.core import mail
from django.core.management.base import CommandError
from django.core.management.commands import flush
from django.db import connections

from stewardship.journal.guard import guard_lifted


class Command(flush.Command):
    """Empty every table of a test database; a real record book is never emptied."""

    def handle(self, **options: Any) -> None:
        """Refuse outside a test run, whose databases are never the real one."""
        if not hasattr(mail, "outbox"):  # Django makes it for the time of a test run only
            raise CommandError("The record book is never emptied. Begin a new data folder instead.")
        with guard_lifted(connections[options["database"]]):
            super().handle(**options)
