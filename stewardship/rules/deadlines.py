"""When a record must be complete: the clocks that rules set, and where a record stands on one.

A clock of days ends with the last moment of a local date, so the zone of the place decides; a clock of hours runs in
absolute time, so a change to or from summer time neither lengthens nor shortens it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Literal, NamedTuple, get_args

from stewardship.rules.dates import (
    DateOutOfRange,
    MomentWithoutZone,
    add_months,
    check_month_day,
    day_of_year,
    local_date,
)
from stewardship.rules.refusals import RuleViolation

ClockKind = Literal["none", "same_day", "hours", "days", "working_days", "day_of_next_month", "day_of_next_year"]
State = Literal["in_time", "late", "open", "overdue", "no_clock"]

MOST_COUNT = 1000
LONGEST_MONTH = 31
SATURDAY = 5
SHORTEST = timedelta(microseconds=1)
_NEEDS: dict[str, frozenset[str]] = {
    "none": frozenset(),
    "same_day": frozenset(),
    "hours": frozenset({"count"}),
    "days": frozenset({"count"}),
    "working_days": frozenset({"count"}),
    "day_of_next_month": frozenset({"day"}),
    "day_of_next_year": frozenset({"month", "day"}),
}


class ClockUnclear(RuleViolation):
    """A clock from which no moment follows."""

    code = "clock_unclear"
    message = "This clock does not say when a record is due: {lacking}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """How long there is to complete a record.

    ``none``: no time is stated. ``same_day``: by the end of the local date. ``hours``, ``days``, ``working_days``:
    ``count`` of them after it; days and working days by the end of the last. ``day_of_next_month``: by the end of
    ``day`` of the month after it, or of the last day of a shorter one. ``day_of_next_year``: by the end of that
    ``month`` and ``day`` of the year after it. Working days leave out Saturdays and Sundays; holidays are not known, so
    the moment told is the earliest that the rule can mean. Raises ClockUnclear, NoSuchDay.
    """

    kind: ClockKind = "none"
    count: int | None = None
    month: int | None = None
    day: int | None = None

    def __post_init__(self) -> None:
        if self.kind not in get_args(ClockKind):
            raise ClockUnclear(lacking=f"there is no clock called {self.kind}", where="kind")
        for name in ("count", "month", "day"):
            _check_given(self.kind, name, getattr(self, name))
        if self.count is not None and not 1 <= self.count <= MOST_COUNT:
            raise ClockUnclear(lacking=f"count goes from 1 to {MOST_COUNT}", where="count")
        if self.day is not None:
            check_month_day(self.month or 1, self.day)


def _check_given(kind: str, name: str, value: int | None) -> None:
    needed = name in _NEEDS[kind]
    if needed and value is None:
        raise ClockUnclear(lacking=f"{kind} needs a {name}", where=name)
    if not needed and value is not None:
        raise ClockUnclear(lacking=f"{kind} takes no {name}", where=name)


def due_at(done_at: datetime, zone: tzinfo, clock: Clock) -> datetime | None:
    """Return the last moment [UTC] that is still in time for what was done at ``done_at``; None where none is stated.

    ``done_at`` carries its offset; ``zone`` is that of the place. Raises MomentWithoutZone, DateOutOfRange.
    """
    if done_at.utcoffset() is None:
        raise MomentWithoutZone(moment=done_at.isoformat())
    if clock.kind == "none":
        return None
    try:
        if clock.kind == "hours":
            return done_at.astimezone(UTC) + timedelta(hours=clock.count or 0)
        return end_of_day(_LAST_DAY[clock.kind](local_date(done_at, zone), clock), zone)
    except OverflowError as beyond:
        raise DateOutOfRange from beyond


def end_of_day(on: date, zone: tzinfo) -> datetime:
    """Return the last moment [UTC] of a local date: a microsecond before the next begins.

    Where summer time begins or ends at midnight the next date begins with the change. Raises DateOutOfRange.
    """
    try:
        next_begins = datetime.combine(on + timedelta(days=1), time(), zone)
        return next_begins.astimezone(UTC) - SHORTEST
    except OverflowError as beyond:
        raise DateOutOfRange from beyond


def add_working_days(start: date, count: int) -> date:
    """Return the date that is ``count`` working days after ``start``: Mondays to Fridays, holidays not known."""
    on = start
    while count:
        on += timedelta(days=1)
        count -= on.weekday() < SATURDAY
    return on


def _in_next_month(on: date, clock: Clock) -> date:
    first = add_months(on.replace(day=1), 1)
    last = add_months(first, 1) - timedelta(days=1)
    return first.replace(day=min(clock.day or LONGEST_MONTH, last.day))


_LAST_DAY: dict[str, Callable[[date, Clock], date]] = {
    "same_day": lambda on, clock: on,
    "days": lambda on, clock: on + timedelta(days=clock.count or 0),
    "working_days": lambda on, clock: add_working_days(on, clock.count or 0),
    "day_of_next_month": _in_next_month,
    "day_of_next_year": lambda on, clock: day_of_year(on.year + 1, clock.month or 1, clock.day or 1),
}


class Standing(NamedTuple):
    """Where a record stands on its clock.

    ``in_time`` and ``late``: it is complete; ``left`` is what was left when it was, negative for late. ``open`` and
    ``overdue``: it is not; ``left`` is what is left now. ``no_clock``: no time is stated, ``left`` is None.
    """

    state: State
    left: timedelta | None


def standing(now: datetime, due: datetime | None, completed_at: datetime | None) -> Standing:
    """Return where a record stands that is due at ``due`` and was completed at ``completed_at`` (None: not yet).

    The last moment itself is in time. All moments carry their offset. Raises MomentWithoutZone.
    """
    if due is None:
        return Standing("no_clock", None)
    at = now if completed_at is None else completed_at
    if at.utcoffset() is None:
        raise MomentWithoutZone(moment=at.isoformat())
    left = due.astimezone(UTC) - at.astimezone(UTC)
    is_over = left < timedelta()
    if completed_at is None:
        return Standing("overdue" if is_over else "open", left)
    return Standing("late" if is_over else "in_time", left)
