"""Once a night: series make the days that they have come to, and free places go to who waits for one."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from stewardship.accounts.capabilities import Actor
from stewardship.accounts.models import Group, Member
from stewardship.jobs import services as jobs
from stewardship.jobs.models import UNFINISHED, Job
from stewardship.journal.book import Cause, Entry, open_entry
from stewardship.journal.fields import Target
from stewardship.journal.ids import new_id
from stewardship.journal.models import Record
from stewardship.workdays.models import SignUp, WorkDay, WorkDaySeries
from stewardship.workdays.services.series import extend_series
from stewardship.workdays.services.waiting import PLACES_ARE_GIVEN, fill_places

EXTEND, FILL = "extend_series", "fill_places"
NIGHT = 2
"""The hour of the group's clock from which on this is asked for."""


def extend_one_series(job: Job, at: datetime) -> dict[str, Any]:
    """Make the days of a series, in the name of who planned it."""
    assert job.group_id
    series = WorkDaySeries.objects.get(group_id=job.group_id, id=UUID(job.args["series"]))
    with open_entry(group_id=job.group_id, by=_who_entered(series), at=at) as entry:
        entry.cause = Cause(new_id(), "extend")
        entry.load(WorkDaySeries, [series.id])
        extend_series(entry, Target(id=series.id))
        result = {"series": str(series.id), "made": len(entry.staged(WorkDay))}
        jobs.fenced(job, result, at=at)
    return result


def fill_places_of_day(job: Job, at: datetime) -> dict[str, Any]:
    """Give the free places of a day to who waits and may take one by now, in the name of who planned the day."""
    assert job.group_id
    planned = WorkDay.objects.get(group_id=job.group_id, id=UUID(job.args["work_day"]))
    with open_entry(group_id=job.group_id, by=_who_entered(planned), at=at) as entry:
        entry.cause = Cause(new_id(), "move_up")
        entry.load(WorkDay, [planned.id])
        fill_places(entry, _with_people(entry, planned.id))
        result = {"work_day": str(planned.id)}
        jobs.fenced(job, result, at=at)
    return result


def ask_nightly(at: datetime) -> int:
    """Ask for each series and each day with a waiting list whose night has come; return for how many."""
    nights = {id: at.astimezone(ZoneInfo(zone)) for id, zone in Group.objects.values_list("id", "time_zone")}
    come = {id: f"{local:%Y-%m-%d}" for id, local in nights.items() if local.hour >= NIGHT}
    wanted = {(group, kind, key): args for group, kind, key, args in _wanted(come)}
    known = Job.objects.filter(
        Q(key__in={key for _, _, key in wanted}) | Q(state__in=UNFINISHED), kind__in=[EXTEND, FILL]
    )
    asked = set(known.values_list("group_id", "kind", "key"))
    missing = [
        Job(group_id=group, kind=kind, args=args, key=key, run_after=at, made_at=at)
        for (group, kind, key), args in wanted.items()
        if (group, kind, key) not in asked
    ]
    Job.objects.bulk_create(missing, ignore_conflicts=True)
    return len(missing)


def _wanted(nights: dict[UUID, str]) -> Iterator[tuple[UUID, str, str, dict[str, str]]]:
    """Give group, kind, key and arguments of what is to be done in these nights."""
    for series in WorkDaySeries.objects.filter(group_id__in=nights).only("id", "group_id", "ends_on"):
        night = nights[series.group_id]
        if series.ends_on is None or f"{series.ends_on}" >= night:
            yield series.group_id, EXTEND, f"{series.id} {night}", {"series": str(series.id)}
    waited_for = WorkDay.objects.filter(
        group_id__in=nights, state__in=PLACES_ARE_GIVEN, sign_ups__is_waiting=True, sign_ups__withdrawn_at=None
    )
    for day_id, group_id, on_date in waited_for.values_list("id", "group_id", "on_date").distinct():
        if f"{on_date}" >= nights[group_id]:
            yield group_id, FILL, f"{day_id} {nights[group_id]}", {"work_day": str(day_id)}


def _who_entered(record: Record) -> Actor:
    member = Member.objects.get(group_id=record.group_id, person_id=record.entered_by_id)
    return Actor(member.person_id, record.group_id, member.id, member.role, not member.is_present)


def _with_people(entry: Entry, day_id: UUID) -> WorkDay:
    """Return the day, locked, with its sign-ups locked and who signed up read."""
    entry.load_lists(SignUp, "work_day_id", [day_id], lock=True)
    entry.load(Member, [s.member_id for s in entry.list_of(SignUp, "work_day_id", day_id)], lock=False)
    return entry.get(WorkDay, day_id)
