"""A cancelled job can no longer commit."""

import pytest

from stewardship.jobs import services as jobs
from stewardship.jobs.lease import claim
from stewardship.jobs.models import State
from tests.cast import AT
from tests.stewardship.jobs.work import LAPSED, SOON, write_a_property

pytestmark = pytest.mark.django_db(transaction=True)


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
