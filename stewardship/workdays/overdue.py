"""What is past its time on a work day's account: signs that should have come down, incidents that nobody answered."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from stewardship.notices.rounds import Due, Round, said
from stewardship.workdays.clocks import running
from stewardship.workdays.due import signs_overdue
from stewardship.workdays.models import Incident, Posting, WorkDay

THEN_COORDINATORS = timedelta(days=1)
"""How long after a sign should have come down it comes to the coordinators."""

UNANSWERED = timedelta(days=2)
"""After how long it is asked what came of an incident for which no clock runs (common practice, no source)."""


def past_their_time(round: Round) -> Iterator[Due]:
    """Give whom to tell of signs and incidents that are past their time; five statements."""
    signs = signs_overdue(round.group.id, round.at)
    open_ones = Incident.objects.filter(group_id=round.group.id, voided_at=None, answered_at=None)
    incidents = list(open_ones.select_related("property").order_by("happened_at", "id"))
    days = {each.work_day_id for each in (*signs, *incidents) if each.work_day_id}
    leaders = dict(WorkDay.objects.filter(group_id=round.group.id, id__in=days).values_list("id", "leader_id"))
    for sign in signs:
        yield from _of_a_sign(round, sign, {sign.put_up_by_id, leaders.get(sign.work_day_id)})
    first_due = _first_due(round)
    for incident in incidents:
        due_at = first_due.get(incident.id, incident.happened_at + UNANSWERED)
        if due_at and due_at <= round.at:
            has_clock = incident.id in first_due
            yield from _of_an_incident(round, incident, due_at, has_clock, leaders.get(incident.work_day_id))


def _of_a_sign(round: Round, sign: Posting, people: set[UUID | None]) -> Iterator[Due]:
    due_at = sign.due_down_at
    assert due_at
    zone = ZoneInfo(sign.property.time_zone) if sign.property.time_zone else round.zone
    subject = f"A sign should have come down: {sign.property.name}"
    text = (
        f"The sign “{sign.text}” was to come down by {_moment(due_at, zone)}. Take it down and enter that, or correct"
        " until when it stays."
    )
    key, path = f"posting.{sign.id}.{due_at:%Y-%m-%dT%H:%M}", _path(sign.work_day_id)
    for member_id in _present(round, people):
        yield Due(member_id, "overdue", key, subject, text, path, due_at)
    later = due_at + THEN_COORDINATORS
    if later <= round.at:
        for coordinator in round.coordinators:
            yield Due(coordinator.id, "overdue", f"{key}.coordinators", subject, text, path, later)


def _first_due(round: Round) -> dict[UUID, datetime | None]:
    """Return for each incident with a clock when the first of those ran out that nobody met; None where none did."""
    found: dict[UUID, datetime | None] = {}
    for each in running(round.group, round.at):
        known = found.setdefault(each.incident.id, None)
        if each.is_overdue and known is None:
            found[each.incident.id] = each.due
    return found


def _of_an_incident(
    round: Round, incident: Incident, due_at: datetime, has_clock: bool, leader_id: UUID | None
) -> Iterator[Due]:
    """Give the leader of the day and the coordinators: a clock of the law waits for nobody's turn."""
    zone = ZoneInfo(incident.time_zone)
    subject = f"An incident at {incident.property.name} waits for an answer: {incident.get_what_display()}"
    time = (
        f" Whoever has to be told of it was to be told by {_moment(due_at, zone)}, and nobody is on record as told."
        if has_clock
        else " No time to report it is on record."
    )
    happened = f"It happened on {_moment(incident.happened_at, zone)}."
    text = f"{happened}{time} Enter whom you told and when, and what came of it."
    key, path = f"incident.{incident.id}.{due_at:%Y-%m-%dT%H:%M}", _path(incident.work_day_id)
    coordinators = {coordinator.id for coordinator in round.coordinators}
    for member_id in _present(round, {leader_id, *coordinators}):
        yield Due(member_id, "overdue", key, subject, text, path, due_at)


def _present(round: Round, ids: set[UUID | None]) -> list[UUID]:
    return sorted(id for id in ids if id in round.members)


def _path(work_day_id: UUID | None) -> str:
    return f"/work-days/{work_day_id}/" if work_day_id else "/"


def _moment(at: datetime, zone: ZoneInfo) -> str:
    local = at.astimezone(zone)
    return f"{said(local.date())}, {local:%H:%M}"
