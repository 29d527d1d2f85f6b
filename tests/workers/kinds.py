"""Kinds of job for tests: they leave marks in files, so that a test sees when a run began and can hold it there."""

import os
import time
from datetime import datetime
from pathlib import Path
from typing import Any

from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Member
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.journal.book import open_entry
from stewardship.places.models import Property


def add_property(job: Job, at: datetime) -> dict[str, Any]:
    """Write a property named after the job, and the job's end, in one transaction."""
    member = Member.objects.get(group_id=job.group_id, person_id=job.asked_by_id)
    actor = Actor(member.person_id, member.group_id, member.id, member.role)
    result = {"made": job.args["name"]}
    with open_entry(group_id=job.group_id, by=actor, at=at) as entry:
        entry.create(Property, id=None, name=job.args["name"])
        jobs.fenced(job, result, at=at)
    return result


def hold_then_add(job: Job, at: datetime) -> dict[str, Any]:
    """Write this process's id into ``began``, wait until the file ``free`` exists, then add the property."""
    with Path(job.args["began"]).open("a") as began:
        began.write(f"{os.getpid()}\n")
    while not Path(job.args["free"]).exists():
        time.sleep(0.02)
    return add_property(job, at)


def fail(job: Job, at: datetime) -> dict[str, Any]:
    """Fail."""
    raise RuntimeError("as the test wants it")


KINDS = {"add": add_property, "hold": hold_then_add, "fail": fail}
