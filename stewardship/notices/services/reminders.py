"""Reminders: several times a day each group's calendar is looked through, and each thing on it is told once.

What is due follows from the rows alone: a key names the thing, its day and the lead, so that it does not matter how
often anybody looks, how many do so at once, or that nobody did for a day.
"""

from collections.abc import Iterable
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db import transaction

from stewardship.accounts.models import Group
from stewardship.jobs import services as jobs
from stewardship.jobs.models import Job
from stewardship.journal import rows
from stewardship.journal.ids import new_id
from stewardship.notices.endings import reminders
from stewardship.notices.models import Notice
from stewardship.notices.rounds import Due, Endings, Watch, read_round
from stewardship.notices.services.telling import one_line

KIND = "reminders"
EVERY_HOURS = 3
"""At which hours of the group's clock its calendar is looked through: 0, 3, 6 …"""


def ask_for_reminders(at: datetime) -> int:
    """Ask for the round of each group whose hour has come and that was not asked for since; return of how many."""
    wanted: dict[UUID, str] = {}
    for id, zone in Group.objects.values_list("id", "time_zone"):
        local = at.astimezone(ZoneInfo(zone))
        wanted[id] = f"{local:%Y-%m-%d} {local.hour // EVERY_HOURS * EVERY_HOURS}:00"
    return jobs.ask_for_groups(KIND, wanted, at=at)


def remind(job: Job, at: datetime, *, ending: Iterable[Endings], watched: Iterable[Watch]) -> dict[str, Any]:
    """Look through a group's calendar and tell what is due; a bounded number of statements."""
    assert job.group_id
    round = read_round(Group.objects.get(id=job.group_id, group_id=job.group_id), at)
    due = list(reminders(round, [each for find in ending for each in find(round)]))
    due += [each for look in watched for each in look(round)]
    with transaction.atomic():
        _tell(job.group_id, due, at)
        jobs.fenced(job, {"due": len(due)}, at=at)
    return {"due": len(due)}


def _tell(group_id: UUID, due: Iterable[Due], at: datetime) -> None:
    notices = [
        (
            new_id(), group_id, each.member_id, each.kind, each.key, one_line(each.subject), each.text, each.path,
            each.due_at, at, None, None, None, None,
        )
        for each in due
    ]  # fmt: skip
    rows.insert(Notice, notices, keep_first=True)
