"""A work day is planned, opened, confirmed, held, and stopped, finished or cancelled."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.places.models import Property, Unit
from stewardship.places.zones import zone_of
from stewardship.rules.dates import local_date
from stewardship.workdays import fields
from stewardship.workdays.models import Attendance, WorkDay
from stewardship.workdays.readiness import lacking
from stewardship.workdays.reasons import DayNotReady, Reason
from stewardship.workdays.states import StateWrong, check_not_ended, moved

LONGEST = timedelta(days=1)
"""From the date of a work day to the date of its end: it may run past midnight."""


class DateMismatch(RuleViolation):
    """A work day starts on its own date."""

    code = "date_mismatch"
    message = "By the clock of the property this day starts on {starts_on}, not on {on_date}. Correct one of the two."
    where = "starts_at"


class EndsBeforeBegin(RuleViolation):
    """A work day ends after it starts."""

    code = "ends_before_begin"
    message = "The work day ends before it begins. Correct one of the two times."
    where = "ends_at"


class WorkDayTooLong(RuleViolation):
    """A work day ends on its date or on the next."""

    code = "work_day_too_long"
    message = "The work day ends on {ends_on}, more than a day after {on_date}. Plan one work day for each date."
    where = "ends_at"


class UnitElsewhere(RuleViolation):
    """The units of a work day lie on its property."""

    code = "unit_elsewhere"
    message = "The unit {name} belongs to another property. Choose units of the property of this work day."
    where = "units"


class StoppedBeforeBegun(RuleViolation):
    """A work day is stopped after somebody came."""

    code = "stopped_before_begun"
    message = "This time lies before the work day began. Correct the time of the stop."
    where = "stopped_at"


class DayWasAttended(RuleViolation):
    """A work day that people came to is not cancelled: their hours count."""

    code = "day_was_attended"
    message = "People are checked in on this work day. Finish or stop it instead, so that their hours count."
    where = "state"


class NobodyCame(RuleViolation):
    """A work day that nobody came to is not finished."""

    code = "nobody_came"
    message = "Nobody is checked in on this work day. Check in who came, or cancel it."
    where = "state"


def add_work_day(entry: Entry, new: fields.NewWorkDay) -> WorkDay:
    """Plan a work day; it is a draft."""
    property_ = entry.get(Property, new.property)
    zone = zone_of(entry, property_)
    values = columns(new) | {"units": _units(entry, property_.id, new.units), "time_zone": zone.key}
    _check_times(values, zone)
    return entry.create(WorkDay, id=new.id, **values)


def amend_work_day(entry: Entry, wish: fields.AmendWorkDay) -> WorkDay:
    """Change what is planned; a confirmed day stays one that could be confirmed."""
    day = entry.get(WorkDay, wish.id)
    check_not_ended(day.state)
    values = columns(wish)
    if "units" in values:
        values["units"] = _units(entry, day.property_id, values["units"])
    before = _gate(day)
    entry.change(day, **values)
    _check_times(vars(day), day.zone())
    if _gate_is_asked(day, before) and (reasons := lacking(entry, day)):
        raise DayNotReady(reasons)
    return day


def open_work_day(entry: Entry, wish: Target) -> WorkDay:
    """Open a draft: people sign up."""
    day = entry.get(WorkDay, wish.id)
    return entry.change(day, state=moved(day.state, "open"))


def confirm_work_day(entry: Entry, wish: Target, also: Sequence[Reason] = ()) -> WorkDay:
    """Confirm an open day that lacks nothing; refused, every reason is told.

    ``also``: reasons that another part of the domain has against it.
    """
    day = entry.get(WorkDay, wish.id)
    reasons = [*lacking(entry, day), *also]
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
    """Stop a day early, with the time and the reason."""
    day = entry.get(WorkDay, wish.id)
    state = moved(day.state, "stop")
    came_at = [a.in_at for a in _attended(entry, day)]
    if local_date(wish.stopped_at, day.zone()) < day.on_date or any(wish.stopped_at < at for at in came_at):
        raise StoppedBeforeBegun
    return entry.change(day, state=state, stopped_at=wish.stopped_at, state_reason=entry.cause.reason)


def finish_work_day(entry: Entry, wish: Target) -> WorkDay:
    """Call a day done: also one that took place without being confirmed, if anybody came."""
    day = entry.get(WorkDay, wish.id)
    state = moved(day.state, "finish")
    if day.state != "under_way" and not _attended(entry, day):
        raise NobodyCame
    return entry.change(day, state=state)


def cancel_work_day(entry: Entry, wish: Target) -> WorkDay:
    """Cancel a day that has not begun, with the reason."""
    day = entry.get(WorkDay, wish.id)
    state = moved(day.state, "cancel")
    if _attended(entry, day):
        raise DayWasAttended
    return entry.change(day, state=state, state_reason=entry.cause.reason)


def _attended(entry: Entry, day: WorkDay) -> list[Attendance]:
    return [a for a in entry.list_of(Attendance, "work_day_id", day.id) if a.voided_at is None]


def _units(entry: Entry, property_id: Any, ids: list[Any]) -> list[str]:
    """Return the ids as text, each once. Raises Unavailable, UnitElsewhere."""
    for id in ids:
        unit = entry.get(Unit, id)
        if unit.property_id != property_id:
            raise UnitElsewhere(name=unit.name)
    return list(dict.fromkeys(str(id) for id in ids))


def _check_times(values: dict[str, Any], zone: ZoneInfo) -> None:
    """Refuse times that do not lie on the day. Raises DateMismatch, EndsBeforeBegin, WorkDayTooLong."""
    on_date: date = values["on_date"]
    starts_at: datetime | None = values["starts_at"]
    ends_at: datetime | None = values["ends_at"]
    if starts_at and (starts_on := local_date(starts_at, zone)) != on_date:
        raise DateMismatch(starts_on=starts_on, on_date=on_date)
    if ends_at is None:
        return
    ends_on = local_date(ends_at, zone)
    if ends_on < on_date or (starts_at and ends_at <= starts_at):
        raise EndsBeforeBegin
    if ends_on - on_date > LONGEST:
        raise WorkDayTooLong(ends_on=ends_on, on_date=on_date)


def _gate(day: WorkDay) -> tuple[bool, date, list[str]]:
    return day.herbicide_planned, day.on_date, day.units


def _gate_is_asked(day: WorkDay, before: tuple[bool, date, list[str]]) -> bool:
    """Tell whether a change of a confirmed day may make it lack something; to hold it without herbicide never does."""
    if day.state == "under_way":
        return day.herbicide_planned and not before[0]
    return day.state == "confirmed" and _gate(day) != before and _gate(day) != (False, *before[1:])
