"""Asking, calling and running jobs; times are given, so nothing here waits but for threads."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import IntegrityError, connection, transaction

from stewardship.errors import RuleViolation
from stewardship.jobs import services as jobs
from stewardship.jobs.lease import MOST_ATTEMPTS, claim
from stewardship.jobs.models import Job, State
from stewardship.journal.book import open_entry
from stewardship.places.models import Property
from tests.cast import AT

pytestmark = pytest.mark.django_db(transaction=True)

LEASE = timedelta(seconds=60)
SOON = AT + timedelta(seconds=1)
LAPSED = AT + LEASE + timedelta(seconds=1)


def write_a_property(actor, job, at):
    """Do a job's work as a kind does: a record and the job's end in one transaction."""
    result = {"made": "Heron Bend"}
    with open_entry(group_id=job.group_id, by=actor, at=at) as entry:
        entry.create(Property, id=None, name="Heron Bend")
        jobs.fenced(job, result, at=at)
    return result


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


class NoSuchSeason(RuleViolation):
    code = "no_such_season"
    message = "This season is not known."


def refused(job, at):
    raise NoSuchSeason


def in_threads(count, work):
    """Run ``work(i)`` in this many threads, all let go at once; return what they returned, errors included."""
    barrier = Barrier(count)

    def one(i):
        barrier.wait()
        try:
            return work(i)
        except Exception as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(one, range(count)))


# -- asking


def test_a_job_is_committed_with_its_cause(coordinator, ask):
    job = ask("write", n=3)

    stored = Job.objects.get(id=job.id)
    assert (stored.kind, stored.args, stored.state) == ("write", {"n": 3}, State.QUEUED)
    assert (stored.group_id, stored.asked_by_id) == (coordinator.group_id, coordinator.person.id)
    assert stored.made_at == stored.run_after == AT


def test_a_job_is_not_asked_for_if_its_cause_is_refused(coordinator):
    def ask_and_be_refused():
        with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=AT) as entry:
            jobs.ask(entry, "count", {}, key="k", asked_by=None)
            raise NoSuchSeason

    with pytest.raises(NoSuchSeason):
        ask_and_be_refused()

    assert not Job.objects.exists()


def test_asking_again_while_a_job_is_unfinished_returns_that_job(ask):
    assert ask(key="same").id == ask(key="same").id
    assert Job.objects.count() == 1


def test_asking_twice_in_one_entry_makes_one_job(coordinator):
    with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=AT) as entry:
        asked = [jobs.ask(entry, "count", {}, key="same", asked_by=None) for _ in range(2)]

    assert asked[0] is asked[1]
    assert Job.objects.count() == 1


def test_another_kind_another_key_and_another_group_are_other_work(ask, stranger):
    ask("count", key="a")
    ask("count", key="b")
    ask("write", key="a")
    with open_entry(group_id=stranger.group_id, by=stranger.actor, at=AT) as entry:
        jobs.ask(entry, "count", {}, key="a", asked_by=stranger.person.id)

    assert Job.objects.count() == 4


def test_after_it_is_done_the_same_work_can_be_asked_for_again(ask, kinds):
    first = ask(key="same")
    jobs.run(first.id, kinds, at=AT)

    assert ask(key="same").id != first.id


def test_eight_who_ask_at_once_get_one_job(coordinator):
    def ask_through_an_entry(i):
        for tries_left in (2, 1, 0):
            try:
                with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=AT) as entry:
                    return jobs.ask(entry, "count", {}, key="same", asked_by=None).id
            except IntegrityError:
                if not tries_left:
                    raise

    ids = in_threads(8, ask_through_an_entry)

    assert set(ids) == {Job.objects.get().id}


def test_the_database_itself_refuses_a_second_unfinished_job(ask):
    first = ask(key="same")

    with pytest.raises(IntegrityError), transaction.atomic():
        Job.objects.create(
            group_id=first.group_id, kind=first.kind, key="same", run_after=AT, made_at=AT, asked_by=first.asked_by
        )


def test_work_of_no_group_is_asked_once_too():
    Job.objects.create(kind="count", key="same", run_after=AT, made_at=AT)

    with pytest.raises(IntegrityError), transaction.atomic():
        Job.objects.create(kind="count", key="same", run_after=AT, made_at=AT)


@pytest.mark.parametrize(
    "values",
    [
        {"state": "running"},
        {"state": "done"},
        {"state": "queued", "finished_at": AT},
        {"progress": 101},
    ],
    ids=str,
)
def test_the_database_refuses_a_state_that_cannot_be(ask, values):
    job = ask()

    with pytest.raises(IntegrityError), transaction.atomic():
        Job.objects.filter(id=job.id).update(**values)


# -- claiming


def test_of_eight_threads_one_claims_a_job(ask):
    job = ask()

    claims = in_threads(8, lambda i: claim(job.id, AT))

    won = [c for c in claims if c is not None]
    assert len(won) == 1
    assert (won[0].fence, won[0].attempts, won[0].lease_until) == (1, 1, AT + LEASE)


def test_eight_deliveries_at_once_commit_the_work_once(ask, kinds):
    job = ask("write")

    ran = in_threads(8, lambda i: jobs.run(job.id, kinds, at=AT))

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


def test_a_cancelled_job_can_no_longer_commit(ask, coordinator):
    job = claim(ask("write").id, AT)

    assert jobs.cancel(job, at=SOON)
    with pytest.raises(jobs.LeaseLost):
        write_a_property(coordinator.actor, job, SOON)

    job.refresh_from_db()
    assert (job.state, job.finished_at) == (State.CANCELLED, SOON)
    assert not jobs.due(LAPSED).exists()


def test_a_finished_job_is_not_cancelled(ask, kinds):
    job = ask()
    jobs.run(job.id, kinds, at=AT)

    assert not jobs.cancel(job, at=SOON)


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


# -- failing


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


# -- calling


def test_workers_are_called_for_due_jobs_longest_due_first(ask):
    later, first = ask(at=SOON), ask(at=AT)
    ask(at=LAPSED)
    called = []

    assert jobs.call_workers(SOON, called.append) == 2

    assert called == [first.id, later.id]


def test_a_call_is_not_repeated_before_it_may_be_lost(ask):
    ask()
    called = []

    counts = [jobs.call_workers(at, called.append) for at in (AT, SOON, AT + LEASE)]

    assert counts == [1, 0, 1]


def test_a_call_that_does_not_get_through_is_made_again(ask):
    job = ask()

    def away(job_id):
        raise ConnectionError

    with pytest.raises(ConnectionError):
        jobs.call_workers(AT, away)
    called = []
    jobs.call_workers(SOON, called.append)

    assert called == [job.id]
