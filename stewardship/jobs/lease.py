"""The lease that a run holds on its job: claimed by one conditional UPDATE, extended while it works."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from threading import Event, Thread
from time import monotonic
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.models import F, Q, QuerySet

from stewardship.jobs.models import Job, State
from stewardship.journal.ids import new_id

logger = logging.getLogger(__name__)

MOST_ATTEMPTS = 5
"""How often a job is begun before it has failed for good."""

BEATS_A_LEASE = 3
"""How often a lease is extended within its own length: one or two beats may be missed."""


class LeaseLost(Exception):
    """Somebody else holds the job by now, or it was cancelled: what this run did must not be committed."""


class Watch:
    """The time of a run: when it began and what has passed since, by a clock that is never set back."""

    def __init__(self, at: datetime) -> None:
        self._at, self._began = at, monotonic()

    def now(self) -> datetime:
        """Return the time."""
        return self._at + timedelta(seconds=monotonic() - self._began)


def lease_length() -> timedelta:
    """Return how long a claim holds without being extended."""
    return timedelta(seconds=settings.JOB_LEASE_SECONDS)


def free(at: datetime) -> Q:
    """Return the condition that a job can be claimed: queued and due, or held by a run whose lease has lapsed."""
    return Q(state=State.QUEUED, run_after__lte=at) | Q(state=State.RUNNING, lease_until__lt=at)


def held(job: Job) -> QuerySet[Job]:
    """Return the job's row if this run still holds it, else nothing."""
    return Job.objects.filter(id=job.id, state=State.RUNNING, fence=job.fence, lease_owner=job.lease_owner)


def claim(job_id: UUID, at: datetime) -> Job | None:
    """Take a free job with one statement: of many that try at once, one gets it and the others get None."""
    owner = new_id()
    claimed = Job.objects.filter(free(at), id=job_id, attempts__lt=MOST_ATTEMPTS).update(
        state=State.RUNNING,
        lease_owner=owner,
        lease_until=at + lease_length(),
        fence=F("fence") + 1,
        attempts=F("attempts") + 1,
        progress=0,
        message="",
    )
    return Job.objects.filter(id=job_id, lease_owner=owner).first() if claimed else None


def write(job: Job, **values: Any) -> None:
    """Write columns of the job with one statement if this run still holds it. Raises LeaseLost."""
    if not held(job).update(**values):
        raise LeaseLost(f"{job.kind} {job.id}, fence {job.fence}")
    vars(job).update(values)


@contextmanager
def kept(job: Job, watch: Watch) -> Iterator[None]:
    """Extend the job's lease from a thread of its own until the block ends."""
    over = Event()
    heart = Thread(target=_beat, args=(job, watch, over), name=f"lease of job {job.id}", daemon=True)
    heart.start()
    try:
        yield
    finally:
        over.set()
        heart.join()


def _beat(job: Job, watch: Watch, over: Event) -> None:
    length = lease_length()
    try:
        while not over.wait(length.total_seconds() / BEATS_A_LEASE):
            if not _extended(job, watch.now() + length):
                return
    finally:
        connection.close()  # this thread's own


def _extended(job: Job, until: datetime) -> bool:
    """Extend the lease; tell whether it is worth going on. A database that is away may come back in time."""
    try:
        return bool(held(job).update(lease_until=until))
    except DatabaseError:
        logger.warning("The lease of job %s could not be extended", job.id, exc_info=True)
        connection.close()
        return True
