"""Workers are called for what is due, and called again where a call may be lost."""

import pytest

from stewardship.jobs import services as jobs
from tests.cast import AT
from tests.stewardship.jobs.work import LAPSED, LEASE, SOON

pytestmark = pytest.mark.django_db(transaction=True)


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
