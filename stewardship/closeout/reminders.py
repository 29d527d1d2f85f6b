"""Everything that a group's calendar is looked through for: two tables, and the job that does it."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from stewardship.credentials.reminders import trainings_that_end
from stewardship.jobs.models import Job
from stewardship.notices.consents import consents_that_end
from stewardship.notices.rounds import Due, Endings, Round, Watch, listed, said
from stewardship.notices.services.reminders import remind
from stewardship.treatments.models import Application, Batch
from stewardship.workdays.models import Attendance, DutyName, SignUp, WorkDay
from stewardship.workdays.overdue import past_their_time
from stewardship.workdays.reminders import credentials_that_end, days_ahead

MORNING = 6
"""The hour of the next day from which on somebody is asked for the totals of a work day."""

FORGOTTEN_DAYS = 30
"""For how many days after a work day its totals are asked for."""


def remind_group(job: Job, at: datetime) -> dict[str, Any]:
    """Look through a group's calendar and tell what is due."""
    return remind(job, at, ending=ENDING, watched=WATCHED)


def totals_missing(round: Round) -> Iterator[Due]:
    """Give whom to ask for the totals of days on which herbicide was out and no line says what was used.

    Five statements. Those who applied or mixed and the leader are asked the next morning, coordinators a day later.
    """
    days = _worked(round)
    batches = list(Batch.objects.filter(group_id=round.group.id, voided_at=None, work_day__in=list(days)))
    told = Application.objects.filter(group_id=round.group.id, voided_at=None, session__work_day__in=list(days))
    with_lines = set(told.values_list("session__work_day_id", flat=True))
    duties = _duties(round, days)
    came = _came(round, days)
    for day in days.values():
        applied = {m for m in came.get(day.id, ()) if (day.id, m) in duties["applicator"]}
        mixed = {batch.mixed_by_id for batch in batches if batch.work_day_id == day.id}
        if day.id not in with_lines and (applied or mixed):
            leaders = {m for d, m in duties["leader"] if d == day.id} | ({day.leader_id} - {None})
            yield from _asked(round, day, applied | mixed | leaders)


def _worked(round: Round) -> dict[UUID, WorkDay]:
    since = (round.today - timedelta(days=FORGOTTEN_DAYS), round.today)
    states = ("under_way", "stopped", "done")
    found = WorkDay.objects.filter(group_id=round.group.id, on_date__range=since, state__in=states)
    return {day.id: day for day in found.order_by("on_date", "id") if _morning(day.on_date, day, 1) <= round.at}


def _morning(on: date, day: WorkDay, days_later: int) -> datetime:
    return datetime.combine(on + timedelta(days=days_later), time(MORNING), day.zone()).astimezone(UTC)


def _duties(round: Round, days: dict[UUID, WorkDay]) -> dict[str, set[tuple[UUID, UUID]]]:
    """Return who is signed up as applicator or leader of which day."""
    wanted = (DutyName.APPLICATOR, DutyName.LEADER)
    found = SignUp.objects.filter(
        group_id=round.group.id, withdrawn_at=None, is_waiting=False, work_day__in=list(days), duty__name__in=wanted
    )
    duties: dict[str, set[tuple[UUID, UUID]]] = {"applicator": set(), "leader": set()}
    for name, day_id, member_id in found.values_list("duty__name", "work_day_id", "member_id"):
        duties[name].add((day_id, member_id))
    return duties


def _came(round: Round, days: dict[UUID, WorkDay]) -> dict[UUID, set[UUID]]:
    found = Attendance.objects.filter(group_id=round.group.id, voided_at=None, work_day__in=list(days))
    came: dict[UUID, set[UUID]] = {}
    for day_id, member_id in found.values_list("work_day_id", "member_id"):
        came.setdefault(day_id, set()).add(member_id)
    return came


def _asked(round: Round, day: WorkDay, people: set[UUID]) -> Iterator[Due]:
    what = f"What was used at “{day.title}” on {said(day.on_date)} is not recorded"
    text = (
        "Somebody applied or mixed herbicide on that day, and no line says what was used, where and on what. "
        "Write it down while it is fresh: an estimate is better than nothing, and says that it is one."
    )
    path, key = f"/work-days/{day.id}/", f"work_day.{day.id}.totals"
    for member_id in sorted(people & round.members.keys()):
        yield Due(member_id, "totals_missing", key, what, text, path, _morning(day.on_date, day, 1))
    if round.at < (later := _morning(day.on_date, day, 2)):
        return
    names = listed([round.members[id].display_name for id in sorted(people & round.members.keys())])
    more = f"{text}\nAsked for it: {names or 'nobody who still belongs to the group'}."
    for coordinator in round.coordinators:
        yield Due(coordinator.id, "totals_missing", f"{key}.coordinators", what, more, path, later)


ENDING: list[Endings] = [credentials_that_end, trainings_that_end, consents_that_end]
"""What has a last day of which people are reminded."""

WATCHED: list[Watch] = [days_ahead, totals_missing, past_their_time]
"""What else is looked for."""
