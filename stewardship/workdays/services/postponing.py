"""A work day is postponed: it gets another date, and who signed up stays signed up."""

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from msgspec import UNSET, UnsetType

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.rules.dates import local_date
from stewardship.rules.recurrence import at_local
from stewardship.workdays import fields
from stewardship.workdays.approval import check_approved
from stewardship.workdays.models import Attendance, WorkDay
from stewardship.workdays.services.planning import check_times, part
from stewardship.workdays.services.telling import TOLD_STATES, tell_postponed, when
from stewardship.workdays.services.waiting import fill_places
from stewardship.workdays.states import DayWasAttended, moved

FOLLOW = ("weather_decision_at", "sign_up_closes_at")
"""Times before the day: they move with it, by the clock of the place."""


class PostponedIntoThePast(RuleViolation):
    """A day is postponed to one that is still to come."""

    code = "postponed_into_the_past"
    message = "{on_date} is over at that place. Choose a date that is still to come."
    where = "on_date"


class NotPostponed(RuleViolation):
    """A postponed day has another date."""

    code = "not_postponed"
    message = "The work day is on this date already. To change its hours, amend it."
    where = "on_date"


def postpone_work_day(entry: Entry, wish: fields.PostponeWorkDay) -> WorkDay:
    """Give a day another date. A confirmed one is open again: people said for another date that they come."""
    day = entry.get(WorkDay, wish.id)
    state, was, was_on = moved(day.state, "postpone"), when(day), day.on_date
    _check_date(entry, day, wish.on_date)
    if any(a.voided_at is None for a in entry.list_of(Attendance, "work_day_id", day.id)):
        raise DayWasAttended
    with check_approved(entry, day):
        entry.change(
            day,
            **_times(day, wish),
            on_date=wish.on_date,
            state=day.state if day.state == "draft" else state,
            state_reason=entry.cause.reason,
            notice=wish.notice or day.notice,
            postponed_from=day.postponed_from or was_on,
        )
    part(entry, day)
    check_times(vars(day), day.zone())
    if day.state in TOLD_STATES:
        tell_postponed(entry, day, was, wish.notice)
    fill_places(entry, day)
    return day


def _check_date(entry: Entry, day: WorkDay, on_date: date) -> None:
    if on_date == day.on_date:
        raise NotPostponed
    if on_date < local_date(entry.at, day.zone()):
        raise PostponedIntoThePast(on_date=on_date)


def _times(day: WorkDay, wish: fields.PostponeWorkDay) -> dict[str, Any]:
    """Return the day's times on its new date: those that are sent, the others by the same clock as before."""
    sent = {"starts_at": wish.starts_at, "ends_at": wish.ends_at}
    kept = {name: getattr(day, name) for name in FOLLOW}
    moved_times = {name: _moved(at, day, wish.on_date) for name, at in kept.items()}
    return moved_times | {name: _moved_unless_sent(day, name, at, wish.on_date) for name, at in sent.items()}


def _moved_unless_sent(day: WorkDay, name: str, at: datetime | UnsetType | None, on_date: date) -> datetime | None:
    return _moved(getattr(day, name), day, on_date) if at is UNSET else at


def _moved(at: datetime | None, day: WorkDay, on_date: date) -> datetime | None:
    """Return a time as many days later as the day is, by the same reading of the clock."""
    zone: ZoneInfo = day.zone()
    return at and at_local(at.astimezone(zone).replace(tzinfo=None) + (on_date - day.on_date), zone)
