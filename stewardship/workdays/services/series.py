"""Work days come back: a series makes them ahead, and changes those that nobody changed by themselves."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

import msgspec

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.places.models import Property
from stewardship.places.zones import zone_of
from stewardship.rules.dates import local_date
from stewardship.rules.recurrence import at_local, day_occurrences
from stewardship.workdays import fields
from stewardship.workdays.approval import check_approved, not_approved
from stewardship.workdays.models import Duty, WorkDay, WorkDaySeries
from stewardship.workdays.services.planning import check_task, units_of
from stewardship.workdays.services.telling import TOLD_STATES, tell_cancelled, tell_changed
from stewardship.workdays.services.waiting import fill_places

AHEAD = timedelta(days=180)
"""How far ahead the days of a series are made."""

MOST = 60
"""Days of one series that stand ahead at most."""

FOLLOWED = 5000
"""Occurrences that a rule is followed for: thirteen years of days."""

CHANGED_BY_SERIES = frozenset({"draft", "open"})

Values = dict[str, Any]


class SeriesEndsBeforeItBegins(RuleViolation):
    """A series ends on its first day or later."""

    code = "series_ends_before_it_begins"
    message = "The series begins on {first_on}. Choose that day or a later one as its last."
    where = "last_on"


def add_series(entry: Entry, new: fields.NewWorkDaySeries) -> WorkDaySeries:
    """Plan a series and make the first of its days."""
    property_ = entry.get(Property, new.property)
    series = entry.create(WorkDaySeries, id=new.id, **_values(entry, property_.id, new))
    _extend(entry, series)
    return series


def amend_series(entry: Entry, wish: fields.AmendWorkDaySeries) -> WorkDaySeries:
    """Change a series; of its days those to come that are not confirmed and that nobody changed by themselves."""
    series = entry.get(WorkDaySeries, wish.id)
    before = series.rev
    entry.change(series, **_values(entry, series.property_id, wish))
    if series.rev == before:
        return series
    wanted = _dates(entry, series)
    for day in _its_own(entry, series):
        if day.series_on in wanted:
            _changed(entry, series, day)
        elif day.state != "cancelled":
            _dropped(entry, day)
    _extend(entry, series)
    return series


def extend_series(entry: Entry, wish: Target) -> WorkDaySeries:
    """Make the days that the series has come to since; done again it makes none twice."""
    series = entry.get(WorkDaySeries, wish.id)
    _extend(entry, series)
    return series


def end_series(entry: Entry, wish: fields.EndWorkDaySeries) -> WorkDaySeries:
    """End a series, with the reason: the later days that nobody changed by themselves are cancelled."""
    series = entry.get(WorkDaySeries, wish.id)
    if wish.last_on < series.first_on:
        raise SeriesEndsBeforeItBegins(first_on=series.first_on)
    entry.change(series, ends_on=wish.last_on, ends_reason=entry.cause.reason)
    for day in _its_own(entry, series):
        if day.on_date > wish.last_on and day.state != "cancelled":
            _dropped(entry, day)
    return series


# -- what the series says ----------------------------------------------------------------------------


def _values(entry: Entry, property_id: UUID, wish: Any) -> Values:
    """Return the columns that were sent, as JSON keeps them. Raises UnitElsewhere, TaskElsewhere."""
    values = columns(wish)
    if "plan" in values:
        units_of(entry, property_id, wish.plan.units)
        check_task(entry, property_id, wish.plan.task)
    for name in ("plan", "duties", "without"):
        if name in values:
            values[name] = msgspec.to_builtins(values[name])
    return values


def _dates(entry: Entry, series: WorkDaySeries) -> list[date]:
    """Return the local dates from today on that the series should have days on, as far as they are made ahead."""
    zone = _zone(entry, series)
    today = local_date(entry.at, zone)
    last_on = min(max(today, series.first_on) + AHEAD, series.ends_on or date.max)
    starts = time.fromisoformat(series.starts)
    coming = day_occurrences(
        series.rule,
        datetime.combine(series.first_on, starts),
        until_local=datetime.combine(max(last_on, series.first_on), time.max),
        most=FOLLOWED,
        without=[datetime.combine(date.fromisoformat(on), starts) for on in series.without],
        zone=zone,
    )
    return [local.date() for local in coming if today <= local.date() <= last_on][:MOST]


def _zone(entry: Entry, series: WorkDaySeries) -> ZoneInfo:
    entry.load(Property, [series.property_id], lock=False)
    return zone_of(entry, entry.get(Property, series.property_id))


def _day_values(series: WorkDaySeries, on: date, zone: ZoneInfo) -> Values:
    """Return the columns of the day on a local date. A time that does not exist, or twice, is settled by RFC 5545."""
    plan = dict(series.plan)
    starts_at = at_local(datetime.combine(on, time.fromisoformat(series.starts)), zone).astimezone(UTC)
    hours = {name: plan.pop(f"{name}_h") for name in ("sign_up_closes", "weather_decision")}
    before = {f"{name}_at": starts_at - timedelta(hours=h) if h is not None else None for name, h in hours.items()}
    named = {f"{name}_id": plan.pop(name) for name in ("task", "leader")}
    ids = {name: UUID(given) if given else None for name, given in named.items()}
    times = {
        "on_date": local_date(starts_at, zone),
        "starts_at": starts_at,
        "ends_at": starts_at + timedelta(minutes=series.minutes),
        "time_zone": zone.key,
    }
    return plan | ids | before | times | {"title": series.title}


# -- its days ----------------------------------------------------------------------------------------


def _its_own(entry: Entry, series: WorkDaySeries) -> Iterator[WorkDay]:
    """Give the days to come that the series may change: nobody confirmed them or changed them by themselves."""
    today = local_date(entry.at, _zone(entry, series))
    for day in entry.list_of(WorkDay, "series_id", series.id):
        is_its_own = day.parted_at is None and day.state in CHANGED_BY_SERIES | {"cancelled"}
        if is_its_own and day.on_date > today:
            yield day


def _extend(entry: Entry, series: WorkDaySeries) -> None:
    zone = _zone(entry, series)
    known = {day.series_on for day in entry.list_of(WorkDay, "series_id", series.id)}
    missing = [on for on in _dates(entry, series) if on not in known]
    for on in missing:
        _made(entry, series, on, zone)
    if missing:
        entry.change(series, extended_at=entry.at)


def _made(entry: Entry, series: WorkDaySeries, on: date, zone: ZoneInfo) -> None:
    told = {"property_id": series.property_id, "series_id": series.id, "series_on": on}
    day = entry.create(
        WorkDay, id=uuid5(series.id, on.isoformat()), **told, **_day_values(series, on, zone), state="draft"
    )
    _lay_out(entry, series, day)
    _open(entry, series, day)


def _open(entry: Entry, series: WorkDaySeries, day: WorkDay) -> None:
    """Open a new day of a series whose days are open at once, unless what is planned was not approved."""
    if series.opens and day.state == "draft" and not list(not_approved(entry, day)):
        entry.change(day, state="open")


def _changed(entry: Entry, series: WorkDaySeries, day: WorkDay) -> None:
    before = dict(vars(day))
    came_back = {"state": "draft", "state_reason": ""} if day.state == "cancelled" else {}
    assert day.series_on
    with check_approved(entry, day):
        entry.change(day, **_day_values(series, day.series_on, _zone(entry, series)), **came_back)
    _lay_out(entry, series, day)
    _open(entry, series, day)
    tell_changed(entry, day, before)
    fill_places(entry, day)


def _dropped(entry: Entry, day: WorkDay) -> None:
    """Cancel a day on which the series does not come any more."""
    if day.state in TOLD_STATES:
        tell_cancelled(entry, day, "")
    entry.change(day, state="cancelled", state_reason=entry.cause.reason or "The series was changed.")


def _lay_out(entry: Entry, series: WorkDaySeries, day: WorkDay) -> None:
    """Lay out the duties of a day as the series has them; one that it has no more is dropped."""
    known = {duty.id: duty for duty in entry.list_of(Duty, "work_day_id", day.id)}
    wanted = {uuid5(day.id, f"{duty['name']} {duty['other_name']}"): duty for duty in series.duties}
    for id, duty in wanted.items():
        if id in known:
            entry.change(known[id], wanted=duty["wanted"], minimum_age=duty["minimum_age"])
        else:
            entry.create(Duty, id=id, work_day_id=day.id, **duty)
    for id in known.keys() - wanted.keys():
        entry.change(known[id], wanted=0)
