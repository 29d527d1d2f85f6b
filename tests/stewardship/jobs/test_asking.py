"""Work is asked for in the entry of its cause, once while it is unfinished."""

import pytest
from django.db import IntegrityError, transaction

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job, State
from stewardship.journal.book import open_entry
from tests.cast import AT
from tests.concurrency import in_threads
from tests.stewardship.jobs.work import NoSuchSeason

pytestmark = pytest.mark.django_db(transaction=True)


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
    def ask_through_an_entry():
        for tries_left in (2, 1, 0):
            try:
                with open_entry(group_id=coordinator.group_id, by=coordinator.actor, at=AT) as entry:
                    return jobs.ask(entry, "count", {}, key="same", asked_by=None).id
            except IntegrityError:
                if not tries_left:
                    raise

    ids = in_threads([ask_through_an_entry] * 8)

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
