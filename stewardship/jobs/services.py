"""Work is asked for, called out, run under a lease and finished once."""

import logging
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import connection, transaction
from django.db.models import Q, QuerySet

from stewardship.errors import RuleViolation
from stewardship.jobs.lease import MOST_ATTEMPTS, LeaseLost, Watch, claim, free, kept, lease_length, write
from stewardship.jobs.models import UNFINISHED, Job, State
from stewardship.journal.book import Entry

__all__ = [
    "CALLED_AT_ONCE", "Kind", "Kinds", "LeaseLost", "ask", "ask_for_groups", "call_workers",
    "cancel", "due", "fenced", "progress", "run",
]  # fmt: skip

logger = logging.getLogger(__name__)

Kind = Callable[[Job, datetime], dict[str, Any]]
"""``function(job, at)``, which does the work of one kind of job and returns its result, plain JSON.

A function that writes calls ``fenced`` inside its own transaction. One that only reads returns its result.
"""

Kinds = Mapping[str, Kind]

FIRST_BACK_OFF = timedelta(seconds=10)
"""How long a job waits after its first failure; twice as long after each further one."""

CALLED_AT_ONCE = 500
"""Jobs; the most that workers are called for in one round."""


# -- asking ----------------------------------------------------------------------------------------


def ask(entry: Entry, kind: str, args: dict[str, Any], *, key: str, asked_by: UUID | None) -> Job:
    """Ask for work in the entry of its cause: they are committed together, and no broker is spoken to.

    ``key`` says what makes two askings the same work: while such a job is unfinished, it is returned instead. A job
    that is running may have read its input already, so a key names the input's version where that matters. Two
    entries that ask at once meet in the database's constraint; the loser is begun again and finds the winner's job.
    """
    known = _unfinished(entry, kind, key)
    if known is not None:
        return known
    job = Job(
        group_id=entry.group_id,
        asked_by_id=asked_by,
        kind=kind,
        args=args,
        key=key,
        run_after=entry.at,
        made_at=entry.at,
    )
    entry.add(job)
    return job


def ask_for_groups(kind: str, wanted: Mapping[UUID, str], *, at: datetime) -> int:
    """Ask for work by the clock: group -> key of the time that has come; return for how many it was asked.

    A key is asked for once for ever. Where one waits or runs already, none is added: a service without a worker heaps
    up nothing. Two that ask at once meet in the database's constraint.
    """
    known = Job.objects.filter(Q(key__in=set(wanted.values())) | Q(state__in=UNFINISHED), kind=kind)
    asked = set(known.values_list("group_id", "key", "state"))
    done = {id for id, key, state in asked if state in UNFINISHED or (id and wanted.get(id) == key)}
    missing = [
        Job(group_id=id, kind=kind, key=key, run_after=at, made_at=at) for id, key in wanted.items() if id not in done
    ]
    Job.objects.bulk_create(missing, ignore_conflicts=True)
    return len(missing)


def _unfinished(entry: Entry, kind: str, key: str) -> Job | None:
    for job in entry.added(Job):
        if (job.kind, job.key) == (kind, key):
            return job
    return Job.objects.filter(group_id=entry.group_id, kind=kind, key=key, state__in=UNFINISHED).first()


def cancel(job: Job, *, at: datetime) -> bool:
    """Cancel a job unless it is finished; tell whether that was in time. A run under way can no longer commit."""
    unfinished = Job.objects.filter(id=job.id, state__in=UNFINISHED)
    return bool(unfinished.update(state=State.CANCELLED, finished_at=at))


# -- calling ---------------------------------------------------------------------------------------


def due(at: datetime) -> QuerySet[Job]:
    """Return the jobs that can be run now, longest due first: queued ones, and those whose run lost its lease."""
    return Job.objects.filter(free(at)).order_by("run_after", "id")


def call_workers(at: datetime, call: Callable[[UUID], object]) -> int:
    """Call a worker for each due job; return for how many.

    A call may be lost, so it is made again after the length of a lease; not sooner, or calls would pile up.
    """
    forgotten = Q(called_at__isnull=True) | Q(called_at__lte=at - lease_length())
    ids = list(due(at).filter(forgotten).values_list("id", flat=True)[:CALLED_AT_ONCE])
    for job_id in ids:
        call(job_id)
    Job.objects.filter(id__in=ids).update(called_at=at)
    return len(ids)


# -- running ---------------------------------------------------------------------------------------


def run(job_id: UUID | str, kinds: Kinds, *, at: datetime) -> bool:
    """Run a job if it is free; tell whether it was run here. Safe to call twice, and from anywhere at once.

    What goes wrong in the job is logged and kept in its row. Only a database that does not answer is raised.
    """
    job_id = UUID(str(job_id))
    job = claim(job_id, at)
    if job is None:
        _give_up(job_id, at)
        return False
    watch = Watch(at)
    try:
        with kept(job, watch):
            _perform(job, kinds, at, watch)
    except LeaseLost:
        logger.warning("Job %s (%s) is no longer this run's; nothing of it was kept", job.id, job.kind)
    except Exception as error:
        logger.exception("Job %s (%s) failed, attempt %s", job.id, job.kind, job.attempts)
        _fail(job, error, watch.now())
    return True


def _perform(job: Job, kinds: Kinds, at: datetime, watch: Watch) -> None:
    if job.kind not in kinds:
        raise UnknownKind
    result = kinds[job.kind](job, at)
    if job.state != State.DONE:
        with transaction.atomic():
            fenced(job, result, at=watch.now())


def fenced(job: Job, result: dict[str, Any], *, at: datetime) -> None:
    """Finish the job inside the transaction of its work, so that exactly one run of it commits. Raises LeaseLost."""
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError("A job is finished inside the transaction of its work.")
    write(job, state=State.DONE, result=result, progress=100, finished_at=at, error_code="", error_detail="")


def progress(job: Job, percent: int, message: str = "") -> None:
    """Tell how far the job is: one statement at each new per cent or message. Raises LeaseLost.

    Call it outside the transaction of the work: inside nobody sees it before the end.
    """
    if (job.progress, job.message) != (percent, message):
        write(job, progress=percent, message=message)


# -- failing ---------------------------------------------------------------------------------------


class UnknownKind(RuleViolation):
    """This worker has no function for the job; a newer one may have it."""

    code = "unknown_job_kind"
    message = "The service does not know how to do this work. It may need an update."


class WorkerLost(RuleViolation):
    """Every run of the job ended without a word: its process was killed each time."""

    code = "worker_lost"
    message = "This work was begun several times, and each time the worker doing it was stopped."


class InternalError(RuleViolation):
    """Something went wrong that only the log can explain."""

    code = "internal_error"
    message = "An error in the service stopped this work. The service's log says more."


def _fail(job: Job, error: Exception, at: datetime) -> None:
    """Keep the error and try again later. A broken rule would break again: that fails at once."""
    told = error if isinstance(error, RuleViolation) else InternalError()
    is_final = job.attempts >= MOST_ATTEMPTS or (told is error and not isinstance(error, UnknownKind))
    kept_error = {"error_code": told.code, "error_detail": str(told)[:500]}
    try:
        if is_final:
            write(job, state=State.FAILED, finished_at=at, **kept_error)
        else:
            wait = FIRST_BACK_OFF * 2 ** (job.attempts - 1)
            write(job, state=State.QUEUED, run_after=at + wait, called_at=None, **kept_error)
    except LeaseLost:
        logger.warning("Job %s (%s) had been finished or taken over when it failed", job.id, job.kind)


def _give_up(job_id: UUID, at: datetime) -> None:
    """Fail a job whose every run was lost, with one conditional statement."""
    lost = Job.objects.filter(free(at), id=job_id, attempts__gte=MOST_ATTEMPTS)
    lost.update(state=State.FAILED, finished_at=at, error_code=WorkerLost.code, error_detail=WorkerLost.message)
