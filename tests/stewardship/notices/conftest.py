"""Things told to the cast, and mail servers of every kind."""

from datetime import datetime

import pytest

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job, State
from stewardship.journal.book import open_entry
from stewardship.journal.ids import new_id
from stewardship.notices.services import letters, tell
from tests.cast import AT
from tests.stewardship.notices import servers


@pytest.fixture
def told(coordinator):
    """Tell somebody something; what is not said is invented."""

    def say(*people, kind="reminder", at=AT, due_at=None, key=None, **values):
        words = {"subject": "A thing", "text": "It is so.", "path": "/"} | values
        with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=at) as entry:
            members = [someone.member.id for someone in people]
            tell(entry, members, kind=kind, key=key or str(new_id()), due_at=due_at, **words)

    return say


@pytest.fixture
def mailed():
    """Do as the workers do at this time: ask for letters, run the jobs; return how many jobs were done."""

    def look(at: datetime) -> int:
        letters.ask_for_letters(at)
        due = Job.objects.filter(kind=letters.KIND, state__in=(State.QUEUED, State.RUNNING))
        return sum(jobs.run(id, {letters.KIND: letters.send_letters}, at=at) for id in due.values_list("id", flat=True))

    return look


@pytest.fixture
def server(settings):
    """Give a mail server that does to each letter what it is told to, and keeps those that went."""
    settings.EMAIL_BACKEND = "tests.stewardship.notices.servers.Server"
    servers.begin()
    return servers
