"""``run_jobs`` as a real process."""

import os
import signal
import time

import pytest

from stewardship.jobs.models import Job
from stewardship.places.models import Property
from tests.processes import wait_until
from tests.workers.conftest import state_of

pytestmark = pytest.mark.django_db(transaction=True)


def test_once_does_what_is_due_and_ends_though_one_job_fails(ask, processes):
    first, failing, last = ask("add", name="Heron Bend"), ask("fail"), ask("add", name="Otter Slough")

    process = processes.run_jobs("--once")

    assert process.wait(40) == 0
    assert [state_of(job) for job in (first, failing, last)] == ["done", "queued", "done"]
    assert sorted(Property.objects.values_list("name", flat=True)) == ["Heron Bend", "Otter Slough"]
    failing.refresh_from_db()
    assert (failing.attempts, failing.error_code) == (1, "internal_error")
    assert "as the test wants it" in processes.said(process)


def test_a_job_whose_worker_was_killed_is_done_by_another_after_its_lease(held, processes):
    killed = processes.run_jobs()
    wait_until(held.runners)

    killed.kill()
    assert killed.wait() == -signal.SIGKILL
    assert state_of(held.job) == "running"
    held.let_go()
    processes.run_jobs()
    wait_until(lambda: state_of(held.job) == "done")

    held.job.refresh_from_db()
    assert (held.job.attempts, held.job.fence) == (2, 2)
    assert len(held.runners()) == 2
    assert Property.objects.filter(name="Heron Bend").count() == 1


def test_a_worker_that_was_frozen_past_its_lease_commits_nothing(held, processes):
    frozen = processes.run_jobs()
    wait_until(held.runners)

    os.kill(frozen.pid, signal.SIGSTOP)
    processes.run_jobs()
    wait_until(lambda: len(held.runners()) == 2)
    held.let_go()
    wait_until(lambda: state_of(held.job) == "done")
    os.kill(frozen.pid, signal.SIGCONT)
    wait_until(lambda: "no longer this run's" in processes.said(frozen))

    assert Property.objects.filter(name="Heron Bend").count() == 1
    assert Job.objects.get(id=held.job.id).fence == 2


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_signal_ends_it_after_the_running_job(ask, held, processes, number):
    waiting = ask("add", name="Otter Slough")
    process = processes.run_jobs()
    wait_until(held.runners)

    process.send_signal(number)
    time.sleep(0.3)
    assert process.poll() is None
    held.let_go()

    assert process.wait(40) == 0
    assert (state_of(held.job), state_of(waiting)) == ("done", "queued")


def test_a_second_signal_ends_it_at_once_and_the_job_is_done_by_another(held, processes):
    process = processes.run_jobs()
    wait_until(held.runners)

    process.terminate()
    time.sleep(0.3)
    process.terminate()
    assert process.wait(40) == -signal.SIGTERM
    held.let_go()
    processes.run_jobs()

    wait_until(lambda: state_of(held.job) == "done")


def test_it_ends_soon_while_it_waits_for_work(ask, processes):
    job = ask("add", name="Heron Bend")
    process = processes.start("-m", "tests.workers.with_kinds", "run_jobs", "--interval=30")
    wait_until(lambda: state_of(job) == "done")

    process.terminate()

    assert process.wait(5) == 0


def test_without_a_broker_that_answers_asking_and_doing_go_on(ask, processes):
    nobody = "redis://127.0.0.1:1/0"

    job = ask("add", name="Heron Bend")
    process = processes.run_jobs("--once", REDIS_URL=nobody)

    assert process.wait(40) == 0
    assert state_of(job) == "done"


def test_a_failing_look_at_the_jobs_is_logged_and_tried_again(monkeypatch, caplog):
    from django.db import OperationalError

    from workers.management.commands import run_jobs

    command, looks = run_jobs.Command(), []

    def due(at):
        looks.append(at)
        command.is_ending = len(looks) == 2
        raise OperationalError("the database is away")

    monkeypatch.setattr(run_jobs.jobs, "due", due)
    monkeypatch.setattr(run_jobs.signal, "signal", lambda *_: None)

    command.handle(once=False, interval=0.01)

    assert len(looks) == 2
    assert caplog.text.count("trying again") == 2
    assert "OperationalError: the database is away" in caplog.text
