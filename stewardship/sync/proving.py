"""Whether the group's book can be proved: asked for by who answers for it or reviews it, found out by a job."""

from datetime import datetime
from itertools import chain, islice
from typing import Any

from django.db import IntegrityError

from stewardship.accounts.capabilities import Actor
from stewardship.errors import NotPermitted
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job, State
from stewardship.journal.book import open_entry
from stewardship.journal.models import Book
from stewardship.journal.verifying import Verification
from stewardship.sync.held import uncounted
from stewardship.sync.rewinding import Head

KIND = "verify_book"
MAY = "prove_book"
MOST_TOLD = 100
"""How many findings are kept word for word; the others are counted."""


def verify_group(job: Job, at: datetime) -> dict[str, Any]:
    """Verify the group's book; it only reads, and returns what does not hold."""
    assert job.group_id
    heads = {int(seq): sealed for seq, sealed in job.args["heads"].items()}
    verification = Verification(job.group_id, heads)
    found = chain(verification.findings(), uncounted(job.group_id))
    told = [finding._asdict() for finding in islice(found, MOST_TOLD)]
    return {
        "findings": told, "more_findings": sum(1 for _ in found), "revisions": verification.revisions,
        "records": verification.records, "head": verification.head, "head_hash": verification.head_hash,
        "heads_compared": len(heads),
    }  # fmt: skip


def ask_now(actor: Actor, remembered: Head | None, at: datetime) -> Job:
    """Ask for it; where the same was asked of the same state of the book and waits or runs, that is it already."""
    if not actor.may(MAY):
        raise NotPermitted
    try:
        return _asked(actor, remembered, at)
    except IntegrityError:  # somebody asked at the same moment: theirs is found now
        return _asked(actor, remembered, at)


def _asked(actor: Actor, remembered: Head | None, at: datetime) -> Job:
    heads = {str(remembered.seq): remembered.sealed} if remembered else {}
    with open_entry(group_id=actor.group_id, by=actor, at=at) as entry:
        head = Book.objects.values_list("head", flat=True).get(group_id=actor.group_id)
        key = " ".join([str(head), *(f"{seq}:{sealed}" for seq, sealed in heads.items())])
        return jobs.ask(entry, KIND, {"heads": heads}, key=key, asked_by=actor.person_id)


def latest(actor: Actor) -> Job | None:
    """Return the verification that was finished last, with its result. Raises NotPermitted."""
    if not actor.may(MAY):
        raise NotPermitted
    done = Job.objects.filter(group_id=actor.group_id, kind=KIND, state=State.DONE)
    return done.order_by("-finished_at", "-id").first()
