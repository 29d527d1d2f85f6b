"""The heartbeat, in real time: leases of a second or less."""

import time
from datetime import timedelta
from threading import enumerate as living_threads

import pytest
from django.db import DatabaseError

from stewardship.jobs import lease
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job, State
from tests.cast import AT

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def short_lease(settings):
    settings.JOB_LEASE_SECONDS = 0.3


def wait_until(condition, seconds=10):
    ends = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < ends, "it did not come about in time"
        time.sleep(0.02)


def test_a_run_longer_than_its_lease_keeps_it(ask):
    job = ask("long")
    first_end = AT + lease.lease_length()

    def long(held, at):
        wait_until(lambda: Job.objects.get(id=job.id).lease_until > first_end + lease.lease_length())
        return {"held": not jobs.due(first_end + timedelta(milliseconds=1)).exists()}

    jobs.run(job.id, {"long": long}, at=AT)

    job.refresh_from_db()
    assert (job.state, job.attempts, job.result) == (State.DONE, 1, {"held": True})


def test_the_heartbeat_ends_with_its_run(ask):
    jobs.run(ask("count").id, {"count": lambda job, at: {}}, at=AT)

    assert not [thread for thread in living_threads() if thread.name.startswith("lease of job")]


def test_a_heartbeat_does_not_extend_the_lease_of_somebody_else(ask):
    stale = lease.claim(ask().id, AT)
    fresh = lease.claim(stale.id, AT + timedelta(seconds=1))

    with lease.kept(stale, lease.Watch(AT + timedelta(hours=1))):
        wait_until(lambda: not [t for t in living_threads() if t.name == f"lease of job {stale.id}"])

    assert Job.objects.get(id=stale.id).lease_until == fresh.lease_until


def test_a_heartbeat_outlives_a_database_that_is_away_for_a_moment(ask, monkeypatch, caplog):
    job = lease.claim(ask().id, AT)
    answers = iter([DatabaseError("away"), 1])

    class Row:
        def update(self, **values):
            answer = next(answers, 0)
            if isinstance(answer, Exception):
                raise answer
            return answer

    monkeypatch.setattr(lease, "held", lambda job: Row())

    with lease.kept(job, lease.Watch(AT)):
        wait_until(lambda: not [t for t in living_threads() if t.name.startswith("lease of job")])

    assert "could not be extended" in caplog.text
    assert next(answers, None) is None
