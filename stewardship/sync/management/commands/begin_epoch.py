"""After a backup was put back: ``manage.py begin_epoch``."""

from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction

from stewardship.sync.rewinding import begin_epoch


class Command(BaseCommand):
    """Ends every cursor, so that devices pull from the beginning and send again what the backup does not have."""

    help = "To be run once after a backup was put back, before the service starts: every device then begins anew."

    def handle(self, **options: Any) -> None:
        """Tell of each group where its book ends now."""
        with transaction.atomic():
            books = begin_epoch()
        for group_id, head in books:
            self.stdout.write(f"{group_id}: a new epoch; the book ends at number {head}.")
        self.stdout.write(
            "Every device now pulls from the beginning and sends again what it keeps. End the devices and sessions, "
            "and erase the members, that were ended or erased since the backup was made."
        )
