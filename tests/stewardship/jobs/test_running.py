"""Of all runs of a job one commits; times are given, so nothing here waits but for threads."""

import pytest
from django.db import transaction

from stewardship.jobs import services as jobs
from stewardship.jobs.lease import claim
from stewardship.jobs.models import Job, State
from stewardship.journal.book import open_entry
from stewardship.places.models import Property
from tests.cast import AT
from tests.concurrency import in_threads
from tests.stewardship.jobs.work import LAPSED, LEASE, SOON, write_a_property

pytestmark = pytest.mark.django_db(transaction=True)


# -- claiming


def test_of_eight_threads_one_claims_a_job(ask):
    job = ask()

    claims = in_threads([lambda: claim(job.id, AT)] * 8)

    won = [c for c in claims if c is not None]
    assert len(won) == 1
    assert (won[0].fence, won[0].attempts, won[0].lease_until) == (1, 1, AT + LEASE)


def test_eight_deliveries_at_once_commit_the_work_once(ask, kinds):
    job = ask("write")

    ran = in_threads([lambda: jobs.run(job.id, kinds, at=AT)] * 8)

    assert sorted(ran) == [False] * 7 + [True]
    assert Property.objects.filter(name="Heron Bend").count() == 1


def test_a_job_is_not_claimed_before_its_time(ask):
    job = ask(at=SOON)

    assert claim(job.id, AT) is None
    assert claim(job.id, SOON) is not None


def test_a_job_with_a_living_lease_is_left_alone(ask):
    job = ask()
    claim(job.id, AT)

    assert claim(job.id, AT + LEASE) is None
    assert not jobs.due(AT + LEASE).exists()


def test_a_job_with_a_lapsed_lease_is_run_again(ask, kinds):
    job = ask("write")
    claim(job.id, AT)

    assert [j.id for j in jobs.due(LAPSED)] == [job.id]
    assert jobs.run(job.id, kinds, at=LAPSED)

    job.refresh_from_db()
    assert (job.state, job.fence, job.attempts) == (State.DONE, 2, 2)


def test_a_finished_job_and_an_unknown_one_are_not_run(ask, kinds, coordinator):
    job = ask("write")
    jobs.run(job.id, kinds, at=AT)

    assert not jobs.run(job.id, kinds, at=LAPSED)
    assert not jobs.run(coordinator.group_id, kinds, at=AT)
    assert Property.objects.count() == 1


# -- finishing


def test_a_job_that_only_reads_keeps_its_result(ask, kinds):
    job = ask("count", n=7)

    assert jobs.run(str(job.id), kinds, at=AT)

    job.refresh_from_db()
    assert (job.state, job.result, job.progress) == (State.DONE, {"counted": 7}, 100)
    assert AT <= job.finished_at < SOON


def test_a_stale_run_commits_nothing(ask, coordinator):
    job = ask("write")
    stale = claim(job.id, AT)
    fresh = claim(job.id, LAPSED)

    with pytest.raises(jobs.LeaseLost):
        write_a_property(coordinator.actor, stale, LAPSED)
    assert not Property.objects.exists()

    write_a_property(coordinator.actor, fresh, LAPSED)
    with pytest.raises(jobs.LeaseLost):
        write_a_property(coordinator.actor, stale, LAPSED)
    assert Property.objects.count() == 1


def test_a_run_that_was_paused_past_its_lease_leaves_the_winners_result(ask, kinds):
    job = ask("pause")

    def pause(held, at):
        jobs.run(job.id, kinds | {"pause": kinds["write"]}, at=LAPSED)
        return write_a_property_again(held, at)

    def write_a_property_again(held, at):
        return kinds["write"](held, at) | {"made": "twice"}

    assert jobs.run(job.id, {"pause": pause}, at=AT)

    job.refresh_from_db()
    assert (job.state, job.result, job.fence) == (State.DONE, {"made": "Heron Bend"}, 2)
    assert Property.objects.count() == 1


def test_work_that_breaks_after_the_fence_rolls_the_end_back_too(ask, coordinator):
    job = ask("late")

    def late(held, at):
        with open_entry(group_id=held.group_id, by=coordinator.actor, at=at):
            jobs.fenced(held, {}, at=at)
            raise ZeroDivisionError

    jobs.run(job.id, {"late": late}, at=AT)

    job.refresh_from_db()
    assert (job.state, job.error_code) == (State.QUEUED, "internal_error")


def test_a_job_is_not_finished_outside_a_transaction(ask):
    job = claim(ask().id, AT)

    with pytest.raises(transaction.TransactionManagementError):
        jobs.fenced(job, {}, at=AT)


# -- progress


def test_progress_costs_one_statement_and_nothing_where_nothing_is_new(ask, django_assert_num_queries):
    job = claim(ask().id, AT)

    with django_assert_num_queries(1):
        jobs.progress(job, 40, "adding up sessions")
        jobs.progress(job, 40, "adding up sessions")

    stored = Job.objects.get(id=job.id)
    assert (stored.progress, stored.message) == (40, "adding up sessions")


def test_a_stale_run_learns_it_from_its_progress(ask):
    stale = claim(ask().id, AT)
    claim(stale.id, LAPSED)

    with pytest.raises(jobs.LeaseLost):
        jobs.progress(stale, 50)
