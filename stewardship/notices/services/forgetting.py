"""After an erasure, what stands outside the book is cleared: the person, what was told to them, their files."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.db import transaction

from stewardship.accounts.forgetting import forget
from stewardship.accounts.models import Member
from stewardship.accounts.services.erasing import ERASED
from stewardship.attachments.services import remove_files
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.notices.models import Letter, Notice, State


class LetterUnderWay(Exception):
    """A letter to the person is being sent just now: the job is tried again a little later."""


def forget_erased(job: Job, at: datetime, *, also: Callable[[Member], None]) -> dict[str, Any]:
    """Clear what is personal of everybody whom the group erased, and whatever else ``also`` does.

    Again does no harm. Raises LetterUnderWay.
    """
    assert job.group_id
    erased = Member.objects.filter(group_id=job.group_id, erased_at__isnull=False).order_by("id")
    with transaction.atomic(durable=True):
        for member in erased:
            _clear(member, at)
            also(member)
        result = {"members": len(erased), "persons": sum(forget(member.person_id, at) for member in erased)}
        jobs.fenced(job, result, at=at)
    return result


def _clear(member: Member, at: datetime) -> None:
    """Clear what was told to a member, and the files for them alone unless their name has to be kept."""
    of_member = {"group_id": member.group_id, "member_id": member.id}
    Notice.objects.filter(**of_member).update(subject="", text="", path="")
    letters = Letter.objects.filter(**of_member)
    letters.filter(state=State.QUEUED).update(state=State.FAILED, finished_at=at, error=ERASED)
    if letters.filter(state=State.SENDING).exists():
        raise LetterUnderWay
    letters.update(address="", subject="", text="", html="")
    if member.display_name == ERASED:
        remove_files(member.group_id, str(member.person_id))
