"""The books are held against one another every night, and whenever a coordinator asks."""

from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import IntegrityError

from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Group
from stewardship.errors import NotPermitted
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job, State
from stewardship.journal.book import open_entry
from stewardship.journal.models import Book
from stewardship.journal.snapshots import snapshot
from stewardship.reports.reconciling import read, reconciled

KIND = "reconcile"
MAY = "reconcile"
NIGHT = 3
"""The hour of the group's clock from which on a day's reconciliation is asked for."""


def reconcile_group(job: Job, at: datetime) -> dict[str, Any]:
    """Hold the books of a group against one another; it only reads, and returns what it found."""
    assert job.group_id
    with snapshot():
        book = Book.objects.get(group_id=job.group_id)
        books = read(job.group_id)
    jobs.progress(job, 50, "Holding the books against one another")
    return {"head": book.head, "held": book.held, **reconciled(books)}


def ask_now(actor: Actor, at: datetime) -> Job:
    """Ask for a reconciliation of the group; one of the same state of the book that waits or runs is it already."""
    if not actor.may(MAY):
        raise NotPermitted
    try:
        return _asked(actor, at)
    except IntegrityError:  # somebody asked at the same moment: theirs is found now
        return _asked(actor, at)


def _asked(actor: Actor, at: datetime) -> Job:
    with open_entry(group_id=actor.group_id, by=actor, at=at) as entry:
        book = Book.objects.get(group_id=actor.group_id)
        return jobs.ask(entry, KIND, {}, key=f"{book.head}.{book.held}", asked_by=actor.person_id)


def ask_nightly(at: datetime) -> int:
    """Ask for each group whose night has come and that was not asked for since; return for how many.

    Where one waits or runs already, none is added: a service without a worker heaps up nothing.
    """
    wanted: dict[UUID, str] = {}
    for id, zone in Group.objects.values_list("id", "time_zone"):
        local = at.astimezone(ZoneInfo(zone))
        if local.hour >= NIGHT:
            wanted[id] = f"night of {local:%Y-%m-%d}"
    return jobs.ask_for_groups(KIND, wanted, at=at)


def latest(group_id: UUID) -> Job | None:
    """Return the reconciliation that was finished last, with its result."""
    done = Job.objects.filter(group_id=group_id, kind=KIND, state=State.DONE)
    return done.order_by("-finished_at", "-id").first()
