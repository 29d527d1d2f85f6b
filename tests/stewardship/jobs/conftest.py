"""Jobs of the cast's group, asked for in an entry as any service does."""

import pytest

from stewardship.jobs import services as jobs
from stewardship.journal.book import open_entry
from stewardship.journal.ids import new_id
from tests.cast import AT


@pytest.fixture
def ask(coordinator):
    """Ask for a job in an entry of its own and return its row."""

    def asked(kind="count", *, key=None, at=AT, **args):
        with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=at) as entry:
            key = key or str(new_id())
            return jobs.ask(entry, kind, args, key=key, asked_by=coordinator.person.id)

    return asked
