"""Jobs asked for by the cast, and real processes that do them."""

import pytest
from django.utils import timezone

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.journal.book import open_entry
from stewardship.journal.ids import new_id


@pytest.fixture
def ask(coordinator):
    """Ask for a job in an entry of its own."""

    def asked(kind, **args):
        with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=timezone.now()) as entry:
            return jobs.ask(entry, kind, args, key=str(new_id()), asked_by=coordinator.person.id)

    return asked


@pytest.fixture
def held(ask, tmp_path):
    """Ask for a job whose run is held until the test frees it."""
    began, free = tmp_path / "began", tmp_path / "free"

    class Held:
        job = ask("hold", name="Heron Bend", began=str(began), free=str(free))

        def runners(self):
            return [int(line) for line in began.read_text().split()] if began.exists() else []

        def let_go(self):
            free.touch()

    return Held()


def state_of(job):
    """Return where a job stands now."""
    return Job.objects.values_list("state", flat=True).get(id=job.id)
