"""The Celery task and the tick; the real worker needs Redis."""

import os
import signal
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
import redis
from django.conf import settings
from django.utils import timezone

from stewardship.jobs.models import Job
from stewardship.journal.ids import new_id
from stewardship.places.models import Property
from tests.cast import AT
from tests.planning import licence
from tests.processes import wait_until
from tests.workers.conftest import state_of
from tests.workers.kinds import KINDS
from workers import schedule
from workers.celery import app
from workers.jobs import JOBS, run_job

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def kinds(monkeypatch):
    """Let this process know the tests' kinds."""
    for name, kind in KINDS.items():
        monkeypatch.setitem(JOBS, name, kind)


@pytest.fixture
def calls(monkeypatch):
    """Keep the calls of workers instead of sending them."""
    kept = []
    monkeypatch.setattr(schedule.run_job, "delay", kept.append)
    return kept


def test_the_task_runs_a_job_and_is_safe_to_deliver_twice(ask, kinds):
    job = ask("add", name="Heron Bend")

    for _ in range(3):
        run_job.apply(args=[str(job.id)], throw=True)

    assert state_of(job) == "done"
    assert Property.objects.count() == 1


def test_a_tick_calls_a_worker_for_every_due_job_once(ask, calls):
    due = [ask("add", name="Heron Bend"), ask("add", name="Otter Slough")]
    Job.objects.filter(id=ask("add", name="later").id).update(run_after=timezone.now() + timedelta(hours=1))

    schedule.tick.apply(throw=True)
    schedule.tick.apply(throw=True)

    assert calls == [str(job.id) for job in due]


def test_two_beats_are_as_good_as_one(ask, calls, kinds):
    job = ask("add", name="Heron Bend")
    schedule.tick.apply(throw=True)
    Job.objects.update(called_at=None)
    schedule.tick.apply(throw=True)

    for call in calls:
        run_job.apply(args=[call], throw=True)

    assert calls == [str(job.id)] * 2
    assert Property.objects.count() == 1


def test_what_is_scheduled_expires_before_it_comes_again():
    entries = app.conf.beat_schedule.values()

    assert {entry["task"] for entry in entries} == {
        task.name for task in (schedule.tick, schedule.nightly, schedule.remind, schedule.mail)
    }
    assert all(entry["options"]["expires"] <= entry["schedule"] for entry in entries)


def test_where_a_night_has_come_the_books_are_held_against_one_another(monkeypatch, cast):
    monkeypatch.setattr(schedule, "timezone", SimpleNamespace(now=lambda: AT))

    schedule.nightly.apply(throw=True)
    schedule.nightly.apply(throw=True)

    assert sorted(Job.objects.values_list("group_id", "kind", "key")) == sorted(
        (someone.group_id, "reconcile", "night of 2027-05-01") for someone in (cast.coordinator, cast.stranger)
    )


def test_at_their_hour_reminders_are_found_and_mailed_once_however_often_the_clock_calls(monkeypatch, cast, mailoutbox):
    at = datetime(2027, 5, 31, 12, 0, tzinfo=UTC)  # seven in the morning of the first group
    monkeypatch.setattr(schedule, "timezone", SimpleNamespace(now=lambda: at))
    monkeypatch.setattr("workers.jobs.timezone", SimpleNamespace(now=lambda: at))
    licence(cast.coordinator, cast.volunteer, "2027-06-30")

    for task in (schedule.remind, schedule.remind, schedule.mail, schedule.mail) * 2:
        task.apply(throw=True)
        for job_id in list(Job.objects.filter(state="queued").values_list("id", flat=True)):
            run_job.apply(args=[str(job_id)], throw=True)

    assert sorted(mail.to[0] for mail in mailoutbox) == ["maren@tamarack.example", "tobias@tamarack.example"]
    assert {mail.subject.partition("herbicide")[2] for mail in mailoutbox} == {
        " credential QX-4471 ends on Wednesday 30 June 2027"
    }


def test_the_broker_keeps_a_call_longer_than_a_run_may_take_and_holds_no_result():
    assert app.conf.broker_transport_options["visibility_timeout"] > app.conf.task_time_limit
    assert app.conf.task_time_limit > app.conf.task_soft_time_limit
    assert app.conf.result_backend is None
    assert run_job.acks_late
    assert run_job.reject_on_worker_lost
    assert run_job.ignore_result


@pytest.mark.parametrize("command", ["worker", "beat"])
def test_without_redis_celery_ends_with_what_to_do(processes, command):
    process = processes.start("-m", "celery", "-A", "workers.celery", command, REDIS_URL="")

    assert process.wait(40) == 1
    assert "run_jobs" in processes.said(process)


@pytest.fixture
def celery(processes):
    """Start real workers and beats on keys of this test alone."""
    keys = f"test:{new_id()}:"

    def started(*options):
        command = ("-m", "celery", "-A", "tests.workers.celery_with_kinds", *options)
        return processes.start(*command, TEST_KEYS=keys, REDIS_URL=settings.REDIS_URL)

    yield started
    processes.end()
    with redis.Redis.from_url(settings.REDIS_URL) as server:
        for key in server.scan_iter(f"{keys}*"):
            server.delete(key)


WORKER = ("worker", "--pool=prefork", "--concurrency=2", "--without-gossip", "--without-mingle")


@pytest.mark.needs_redis
def test_a_real_worker_called_by_a_real_beat_does_a_job(ask, celery):
    job = ask("add", name="Heron Bend")

    worker, beat = celery(*WORKER), celery("beat")
    wait_until(lambda: state_of(job) == "done")

    for process in (beat, worker):
        process.terminate()
        assert process.wait(40) == 0
    assert Property.objects.count() == 1


@pytest.mark.needs_redis
def test_a_celery_worker_killed_in_a_job_loses_nothing(held, celery, processes):
    beat, worker = celery("beat"), celery(*WORKER)
    wait_until(held.runners)

    os.killpg(worker.pid, signal.SIGKILL)
    worker.wait()
    held.let_go()
    celery(*WORKER)
    wait_until(lambda: state_of(held.job) == "done")

    held.job.refresh_from_db()
    assert held.job.fence == 2
    assert Property.objects.filter(name="Heron Bend").count() == 1
    assert beat.poll() is None
