"""Copy the reference rows into a group, or into every group."""

from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from stewardship.accounts.models import Group
from stewardship.errors import RuleViolation
from stewardship.sync.reference import load_reference


class Command(BaseCommand):
    """Enter the species, active ingredients, products and limits that a group does not have yet."""

    help = "Copy the reference rows (species, active ingredients, products, limits) into a group; adds what is new."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the group; without one, every group."""
        parser.add_argument("group", nargs="?", type=UUID, help="the group's id; without it every group")

    def handle(self, *args: Any, **options: Any) -> None:
        """Load them, and say how many were new."""
        wanted = [options["group"]] if options["group"] else Group.objects.order_by("id").values_list("id", flat=True)
        for group_id in list(wanted):
            try:
                count = load_reference(group_id, at=timezone.now())
            except RuleViolation as refusal:
                raise CommandError(f"{group_id}: {refusal}") from refusal
            self.stdout.write(f"{group_id}: {count} reference rows added")
