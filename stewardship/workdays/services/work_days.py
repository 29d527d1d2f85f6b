"""A work day is planned, opened, confirmed, held, and stopped, finished or cancelled."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.places.models import Property
from stewardship.places.zones import zone_of
from stewardship.rules.dates import local_date
from stewardship.workdays import fields
from stewardship.workdays.approval import check_approved, not_approved
from stewardship.workdays.models import Attendance, WorkDay
from stewardship.workdays.readiness import lacking
from stewardship.workdays.reasons import DayNotApproved, DayNotReady, Reason
from stewardship.workdays.services.planning import as_text, check_task, check_times, part, units_of
from stewardship.workdays.services.telling import tell_cancelled, tell_changed
from stewardship.workdays.services.waiting import fill_places
from stewardship.workdays.states import DayWasAttended, StateWrong, check_not_ended, moved


class StoppedBeforeBegun(RuleViolation):
    """A work day is stopped after somebody came."""

    code = "stopped_before_begun"
    message = "This time lies before the work day began. Correct the time of the stop."
    where = "stopped_at"


class NobodyCame(RuleViolation):
    """A work day that nobody came to is not finished."""

    code = "nobody_came"
    message = "Nobody is checked in on this work day. Check in who came, or cancel it."
    where = "state"


def add_work_day(entry: Entry, new: fields.NewWorkDay) -> WorkDay:
    """Plan a work day; it is a draft."""
    property_ = entry.get(Property, new.property)
    zone = zone_of(entry, property_)
    check_task(entry, property_.id, new.task)
    values = as_text(columns(new)) | {"units": units_of(entry, property_.id, new.units), "time_zone": zone.key}
    check_times(values, zone)
    return entry.create(WorkDay, id=new.id, **values)


def amend_work_day(entry: Entry, wish: fields.AmendWorkDay) -> WorkDay:
    """Change what is planned; a confirmed day stays one that could be confirmed."""
    day = entry.get(WorkDay, wish.id)
    check_not_ended(day.state)
    values = as_text(columns(wish))
    if "units" in values:
        values["units"] = units_of(entry, day.property_id, map(UUID, values["units"]))
    check_task(entry, day.property_id, values.get("task_id"))
    before = dict(vars(day))
    with check_approved(entry, day):
        entry.change(day, **values)
    if day.rev == before["rev"]:
        return day
    part(entry, day)
    check_times(vars(day), day.zone())
    if _gate_is_asked(day, before) and (reasons := lacking(entry, day)):
        raise DayNotReady(reasons)
    tell_changed(entry, day, before)
    fill_places(entry, day)
    return day


def open_work_day(entry: Entry, wish: Target) -> WorkDay:
    """Open a draft whose task is approved: people sign up. Refused, every reason is told."""
    day = entry.get(WorkDay, wish.id)
    state = moved(day.state, "open")
    if reasons := list(not_approved(entry, day)):
        raise DayNotApproved(reasons)
    return entry.change(day, state=state)


def confirm_work_day(entry: Entry, wish: Target, also: Sequence[Reason] = ()) -> WorkDay:
    """Confirm an open day that lacks nothing; refused, every reason is told.

    ``also``: reasons that another part of the domain has against it.
    """
    day = entry.get(WorkDay, wish.id)
    reasons = lacking(entry, day)
    told = {(reason["code"], reason["detail"]) for reason in reasons}
    reasons += [reason for reason in also if (reason["code"], reason["detail"]) not in told]
    try:
        state = moved(day.state, "confirm")
    except StateWrong as rule:
        reasons.insert(0, {"code": rule.code, "detail": str(rule), "where": rule.where})
    if reasons:
        raise DayNotReady(reasons)
    return entry.change(day, state=state)


def begin(entry: Entry, day: WorkDay) -> WorkDay:
    """Set a confirmed day under way, as its first check-in, batch or session does; any other stays as it is."""
    return entry.change(day, state=moved(day.state, "begin")) if day.state == "confirmed" else day


def stop_work_day(entry: Entry, wish: fields.StopWorkDay) -> WorkDay:
    """Stop a day early, with the time and the reason: also one that was not confirmed, if anybody came."""
    day = entry.get(WorkDay, wish.id)
    state = moved(day.state, "stop")
    _check_held(entry, day)
    came_at = [a.in_at for a in _attended(entry, day)]
    if local_date(wish.stopped_at, day.zone()) < day.on_date or any(wish.stopped_at < at for at in came_at):
        raise StoppedBeforeBegun
    return entry.change(day, state=state, stopped_at=wish.stopped_at, state_reason=entry.cause.reason)


def finish_work_day(entry: Entry, wish: Target) -> WorkDay:
    """Call a day done: also one that took place without being confirmed, if anybody came."""
    day = entry.get(WorkDay, wish.id)
    state = moved(day.state, "finish")
    _check_held(entry, day)
    return entry.change(day, state=state)


def _check_held(entry: Entry, day: WorkDay) -> None:
    """Refuse to end a day to which nobody came, unless work on it is recorded."""
    if day.state != "under_way" and not _attended(entry, day):
        raise NobodyCame


def cancel_work_day(entry: Entry, wish: fields.CancelWorkDay) -> WorkDay:
    """Cancel a day that has not begun, with the reason; who signed up is told."""
    day = entry.get(WorkDay, wish.id)
    state = moved(day.state, "cancel")
    if _attended(entry, day):
        raise DayWasAttended
    tell_cancelled(entry, day, wish.notice)
    part(entry, day)
    return entry.change(day, state=state, state_reason=entry.cause.reason, notice=wish.notice or day.notice)


def _attended(entry: Entry, day: WorkDay) -> list[Attendance]:
    return [a for a in entry.list_of(Attendance, "work_day_id", day.id) if a.voided_at is None]


GATE = ("herbicide_planned", "on_date", "units", "task_id", "species", "methods", "products")
"""What may be planned otherwise so that a confirmed day lacks something."""


def _gate_is_asked(day: WorkDay, before: dict[str, Any]) -> bool:
    """Tell whether a change of a confirmed day may make it lack something; to hold it without herbicide never does."""
    changed = {name for name in GATE if getattr(day, name) != before[name]}
    if day.state == "under_way":
        return "herbicide_planned" in changed and day.herbicide_planned
    if changed == {"herbicide_planned"} and not day.herbicide_planned:
        return False
    return day.state == "confirmed" and bool(changed)
