"""Jobs of the cast's group, asked for in an entry as any service does."""

import pytest

from stewardship.jobs import services as jobs
from stewardship.journal.book import open_entry
from stewardship.journal.ids import new_id
from tests.cast import AT
from tests.stewardship.jobs.work import refused, write_a_property


@pytest.fixture
def ask(coordinator):
    """Ask for a job in an entry of its own and return its row."""

    def asked(kind="count", *, key=None, at=AT, **args):
        with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=at) as entry:
            key = key or str(new_id())
            return jobs.ask(entry, kind, args, key=key, asked_by=coordinator.person.id)

    return asked


@pytest.fixture
def kinds(coordinator):
    """Return the kinds of job of these tests."""
    actor = coordinator.actor
    return {
        "count": lambda job, at: {"counted": job.args.get("n", 0)},
        "write": lambda job, at: write_a_property(actor, job, at),
        "break": lambda job, at: 1 // 0,
        "refuse": refused,
    }
