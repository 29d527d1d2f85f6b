"""Ground to report on, and a worker that compiles."""

from datetime import timedelta

import pytest

from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from tests.cast import AT
from tests.ground import lay_out
from workers.jobs import JOBS


@pytest.fixture
def ground(coordinator):
    """Give a property with two units, a species, and an ester of 4 lb a.e./gal."""
    return lay_out(coordinator)


@pytest.fixture
def season(coordinator):
    """Give the season of the year 2027, whose id it is."""
    told = {"name": "2027", "first_on": "2027-01-01", "last_on": "2027-12-31"}
    return coordinator.does("season", "create", **told).record.id


@pytest.fixture
def ask(ground, season):
    """Ask for the report of the ground and season as somebody, and return it."""

    def asked(by, property=None, season=season):
        return by.does("season_report", "create", property=property or ground.property, season=season).record

    return asked


@pytest.fixture
def work():
    """Run every job that is due, as a worker does, and return how many were run."""

    def worked(at=AT + timedelta(minutes=1)):
        return sum(jobs.run(job.id, JOBS, at=at) for job in Job.objects.filter(state="queued"))

    return worked
