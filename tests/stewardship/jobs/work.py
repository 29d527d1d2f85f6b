"""What the jobs of these tests do, and when."""

from datetime import timedelta

from stewardship.errors import RuleViolation
from stewardship.jobs import services as jobs
from stewardship.journal.book import open_entry
from stewardship.places.models import Property
from tests.cast import AT

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


class NoSuchSeason(RuleViolation):
    code = "no_such_season"
    message = "This season is not known."


def refused(job, at):
    raise NoSuchSeason
