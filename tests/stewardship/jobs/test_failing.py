"""A failed attempt is kept and tried again with growing waits, up to the last one; a broken rule fails at once."""

from datetime import timedelta

import pytest

from stewardship.jobs import services as jobs
from stewardship.jobs.lease import MOST_ATTEMPTS, claim
from stewardship.jobs.models import State
from stewardship.places.models import Property
from tests.cast import AT
from tests.stewardship.jobs.work import LEASE

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_failed_attempt_is_kept_and_waits_twice_as_long_each_time(ask, kinds):
    job, at, waits = ask("break"), AT, []

    for _ in range(MOST_ATTEMPTS - 1):
        jobs.run(job.id, kinds, at=at)
        job.refresh_from_db()
        waits.append(round((job.run_after - at).total_seconds()))
        assert (job.state, job.error_code) == (State.QUEUED, "internal_error")
        assert not jobs.run(job.id, kinds, at=job.run_after - timedelta(milliseconds=1))
        at = job.run_after
    assert waits == [10, 20, 40, 80]

    jobs.run(job.id, kinds, at=at)

    job.refresh_from_db()
    assert (job.state, job.attempts, job.error_code) == (State.FAILED, MOST_ATTEMPTS, "internal_error")
    assert "log" in job.error_detail
    assert "division" not in job.error_detail
    assert job.finished_at is not None


def test_the_log_has_the_traceback(ask, kinds, caplog):
    job = ask("break")

    jobs.run(job.id, kinds, at=AT)

    assert str(job.id) in caplog.text
    assert "ZeroDivisionError" in caplog.text


def test_a_broken_rule_fails_at_once_with_its_own_words(ask, kinds):
    job = ask("refuse")

    jobs.run(job.id, kinds, at=AT)

    job.refresh_from_db()
    assert (job.state, job.attempts) == (State.FAILED, 1)
    assert (job.error_code, job.error_detail) == ("no_such_season", "This season is not known.")


def test_an_unknown_kind_waits_for_a_worker_that_knows_it(ask, kinds):
    job = ask("from_the_future")

    jobs.run(job.id, kinds, at=AT)
    job.refresh_from_db()
    assert (job.state, job.error_code) == (State.QUEUED, "unknown_job_kind")

    jobs.run(job.id, kinds | {"from_the_future": kinds["count"]}, at=job.run_after)
    job.refresh_from_db()
    assert (job.state, job.error_code, job.error_detail) == (State.DONE, "", "")


def test_a_job_whose_every_run_was_killed_is_given_up(ask, kinds):
    job, at = ask("write"), AT
    for _ in range(MOST_ATTEMPTS):
        assert claim(job.id, at) is not None
        at += LEASE + timedelta(seconds=1)

    assert not jobs.run(job.id, kinds, at=at)

    job.refresh_from_db()
    assert (job.state, job.error_code, job.attempts) == (State.FAILED, "worker_lost", MOST_ATTEMPTS)
    assert not jobs.due(at + LEASE).exists()
    assert not Property.objects.exists()
