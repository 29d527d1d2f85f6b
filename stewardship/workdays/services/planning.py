"""What a plan says: places, times and people that fit together, as the columns keep it."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import msgspec

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.places.models import Unit
from stewardship.rules.dates import local_date
from stewardship.workdays.models import ApprovedTask, WorkDay

LONGEST = timedelta(days=1)
"""From the date of a work day to the date of its end: it may run past midnight."""

LISTS = ("units", "species", "methods", "products")
"""Columns that keep a list of ids or words."""


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


class DecisionTooLate(RuleViolation):
    """Whether the weather admits a day is decided before it begins."""

    code = "decision_too_late"
    message = "The weather is decided on before the day begins. Choose an earlier time for it."
    where = "weather_decision_at"


class SignUpClosesTooLate(RuleViolation):
    """Sign-up ends before the day does."""

    code = "sign_up_closes_too_late"
    message = "Sign-up closes after the day is over. Choose an earlier time, or leave it open."
    where = "sign_up_closes_at"


class UnitElsewhere(RuleViolation):
    """The units of a plan lie on its property."""

    code = "unit_elsewhere"
    message = "The unit {name} belongs to another property. Choose units of the property of this work day."
    where = "units"


class TaskElsewhere(RuleViolation):
    """A work day serves a task that was approved for its property."""

    code = "task_elsewhere"
    message = "The task {title} is approved for another property. Choose one of this property."
    where = "task"


def as_text(values: dict[str, Any]) -> dict[str, Any]:
    """Return the columns with their lists as JSON keeps them: ids as text, each thing once."""
    told = {name: list(dict.fromkeys(map(str, values[name]))) for name in LISTS if name in values}
    if "hazards" in values:
        told["hazards"] = msgspec.to_builtins(values["hazards"])
    return values | told


def part(entry: Entry, day: WorkDay) -> None:
    """Keep a day of a series as it is from now on: somebody changed it by itself."""
    if day.series_id and day.parted_at is None:
        entry.change(day, parted_at=entry.at)


def units_of(entry: Entry, property_id: UUID, ids: Iterable[UUID]) -> list[str]:
    """Return the ids as text, each once. Raises Unavailable, UnitElsewhere."""
    units = [entry.get(Unit, id) for id in ids]
    for unit in units:
        if unit.property_id != property_id:
            raise UnitElsewhere(name=unit.name)
    return list(dict.fromkeys(str(unit.id) for unit in units))


def check_task(entry: Entry, property_id: UUID, task_id: UUID | None) -> None:
    """Refuse a task of another property. Raises Unavailable, TaskElsewhere."""
    task = entry.get(ApprovedTask, task_id) if task_id else None
    if task and task.property_id != property_id:
        raise TaskElsewhere(title=task.title)


def check_times(values: dict[str, Any], zone: ZoneInfo) -> None:
    """Refuse times that do not lie on the day, or not before it."""
    on_date: date = values["on_date"]
    starts_at: datetime | None = values["starts_at"]
    ends_at: datetime | None = values["ends_at"]
    if starts_at and (starts_on := local_date(starts_at, zone)) != on_date:
        raise DateMismatch(starts_on=starts_on, on_date=on_date)
    if ends_at:
        _check_end(on_date, starts_at, ends_at, zone)
    decided_at, closes_at = values["weather_decision_at"], values["sign_up_closes_at"]
    if decided_at and (decided_at > starts_at if starts_at else local_date(decided_at, zone) > on_date):
        raise DecisionTooLate
    if closes_at and (closes_at > ends_at if ends_at else local_date(closes_at, zone) > on_date):
        raise SignUpClosesTooLate


def _check_end(on_date: date, starts_at: datetime | None, ends_at: datetime, zone: ZoneInfo) -> None:
    ends_on = local_date(ends_at, zone)
    if ends_on < on_date or (starts_at and ends_at <= starts_at):
        raise EndsBeforeBegin
    if ends_on - on_date > LONGEST:
        raise WorkDayTooLong(ends_on=ends_on, on_date=on_date)
