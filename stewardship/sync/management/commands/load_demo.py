"""Load the demo: an invented group with two years of records."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from stewardship.sync.demo import DEMO_ACCOUNTS, DEMO_PASSWORD
from stewardship.sync.demo.loading import DemoNotTaken, load_demo


class Command(BaseCommand):
    """Loads the demo group, or what is missing of it; loaded again it changes nothing."""

    help = "Load the demo: an invented group, its people and two years of records, and ask for its season reports."
    accounts = DEMO_ACCOUNTS
    password = DEMO_PASSWORD

    def handle(self, *args: Any, **options: Any) -> None:
        """Load it, and say how many records came."""
        try:
            loaded = load_demo()
        except DemoNotTaken as refusal:
            raise CommandError(f"The demo does not load: {refusal}") from refusal
        told = ", ".join(f"{count} {outcome}" for outcome, count in sorted(loaded.outcomes.items())) or "nothing new"
        self.stdout.write(f"The demo's mutations: {told}; {loaded.known} known before")
