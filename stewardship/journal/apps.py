"""The record book as a Django app."""

from django.apps import AppConfig


class JournalConfig(AppConfig):
    """Registers the check that explains the journal mode of SQLite."""

    name = "stewardship.journal"

    def ready(self) -> None:
        """Register the system checks."""
        from stewardship.journal import checks  # noqa: F401
