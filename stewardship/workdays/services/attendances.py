"""People check in and out: facts, recorded whoever they are, and flagged where something was not in order."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any
from uuid import UUID

from stewardship.accounts.models import Member
from stewardship.errors import AlreadyVoided, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.rules.dates import local_date, said
from stewardship.rules.screening import hours_in_a_day
from stewardship.workdays import fields
from stewardship.workdays.leading import check_leads
from stewardship.workdays.models import Attendance, Duty, WorkDay
from stewardship.workdays.of_age import marks_of_age
from stewardship.workdays.qualification import marks_of, people_of
from stewardship.workdays.services.work_days import begin
from stewardship.workdays.states import State, check_not_ended

MARKS_OF_TIMES = ("other_date", "more_hours_than_a_day")

OUT = "Only the member, who checked them in, the leader of the day or a coordinator can check them out."
SETTLES = "Only the leader of the day, or a coordinator, can settle when somebody left."
ADMITS = "Only the leader of the day, or a coordinator, can let somebody work whose waiver is not signed."

Mark = dict[str, str]


class OutBeforeIn(RuleViolation):
    """Nobody leaves before they came."""

    code = "out_before_in"
    message = "The check-out lies before the check-in. Correct one of the two times."
    where = "out_at"


class AlreadyIn(RuleViolation):
    """Nobody is there twice."""

    code = "already_in"
    message = "This member is checked in on this work day already and has not checked out."
    where = "member"


class AlreadyOut(RuleViolation):
    """A check-out is made once, and corrected after that."""

    code = "already_out"
    message = "This member has checked out already. Correct that entry if its time is wrong."
    where = "out_at"


class AttendanceOverlaps(RuleViolation):
    """Nobody's time counts twice."""

    code = "attendance_overlaps"
    message = "This member's time on this work day is recorded already, and the two overlap."
    where = "in_at"


class HowKnownMissing(RuleViolation):
    """Every check-out says how its time is known."""

    code = "how_known_missing"
    message = "Say how the time of the check-out is known: measured or estimated."
    where = "how_known"


def check_in(entry: Entry, new: fields.NewAttendance) -> Attendance:
    """Record that a member came; the first one sets a confirmed day under way."""
    day = entry.get(WorkDay, new.work_day)
    member_id = new.member or entry.by.member_id
    entry.load(Member, [member_id], lock=False)
    entry.get(Member, member_id)
    check_not_ended(day.state)
    values = _told(new) | {"member_id": member_id, "how_known": new.how_known or ""} | _admitted(entry, day, new)
    values["on_date"] = local_date(new.in_at, day.zone())
    _check_span(entry, day, None, values)
    values["marks"] = [
        *_marks_of_day(day),
        *_marks_of_person(entry, day, values),
        *_marks_of_times(entry, day, None, values),
    ]
    begin(entry, day)
    return entry.create(Attendance, id=new.id, **values)


def _told(new: fields.NewAttendance) -> dict[str, Any]:
    return {name: value for name, value in columns(new).items() if name != "admitted"}


def _admitted(entry: Entry, day: WorkDay, new: fields.NewAttendance) -> dict[str, Any]:
    if not new.admitted.strip():
        return {"admitted_words": ""}
    check_leads(entry, day, ADMITS)
    return {"admitted_words": new.admitted, "admitted_by_id": entry.by.member_id}


def check_out(entry: Entry, wish: fields.CheckOut) -> Attendance:
    """Record that a member left: one's own, what one entered, or anybody's if one leads the day."""
    found = entry.get(Attendance, wish.id)
    if entry.by.person_id != found.entered_by_id and entry.by.member_id != found.member_id:
        check_leads(entry, entry.get(WorkDay, found.work_day_id), OUT)
    if found.out_at and (found.out_at, found.how_known) != (wish.out_at, wish.how_known):
        raise AlreadyOut
    return _changed(entry, found, columns(wish))


def amend_attendance(entry: Entry, wish: fields.AmendAttendance) -> Attendance:
    """Correct a member's time; what was flagged about their credential stays."""
    values = columns(wish)
    if "how_known" in values or values.get("out_at", "") is None:
        values["how_known"] = values.get("how_known") or ""
    return _changed(entry, entry.get(Attendance, wish.id), values)


def void_attendance(entry: Entry, wish: Target) -> Attendance:
    """Call a check-in a mistaken entry: it counts for nothing. Voiding it again changes nothing."""
    found = entry.get(Attendance, wish.id)
    check_not_ended(entry.get(WorkDay, found.work_day_id).state)
    return found if found.voided_at else entry.change(found, voided_at=entry.at)


def settle(entry: Entry, wish: fields.Settle) -> Attendance:
    """Settle by an estimate when somebody left who cannot be asked; who says so stands beside it, and why."""
    found = entry.get(Attendance, wish.id)
    check_leads(entry, entry.get(WorkDay, found.work_day_id), SETTLES)
    if found.out_at and found.out_at != wish.out_at:
        raise AlreadyOut
    values = {"out_at": wish.out_at, "how_known": "estimated", "settled_words": wish.words}
    return _changed(entry, found, values | {"settled_by_id": entry.by.member_id})


def admit(entry: Entry, wish: fields.Admit) -> Attendance:
    """Keep why the leader lets somebody work whose waiver is not signed; the mark stays."""
    found = entry.get(Attendance, wish.id)
    check_leads(entry, entry.get(WorkDay, found.work_day_id), ADMITS)
    return _changed(entry, found, {"admitted_words": wish.words, "admitted_by_id": entry.by.member_id})


def _changed(entry: Entry, found: Attendance, values: dict[str, Any]) -> Attendance:
    day = entry.get(WorkDay, found.work_day_id)
    check_not_ended(day.state)
    if found.voided_at:
        raise AlreadyVoided
    after = vars(found) | values
    if after["out_at"] and not after["how_known"]:
        raise HowKnownMissing
    _check_span(entry, day, found, after)
    on_date = local_date(after["in_at"], day.zone())
    kept = [mark for mark in found.marks if mark["code"] not in MARKS_OF_TIMES]
    marks = [*kept, *_marks_of_times(entry, day, found, after | {"on_date": on_date})]
    return entry.change(found, **values, on_date=on_date, marks=marks)


def _check_span(entry: Entry, day: WorkDay, found: Attendance | None, values: dict[str, Any]) -> None:
    """Refuse a time that cannot be, or that is counted already. Raises OutBeforeIn, AlreadyIn, AttendanceOverlaps."""
    in_at: datetime = values["in_at"]
    out_at: datetime | None = values["out_at"]
    if out_at and out_at < in_at:
        raise OutBeforeIn
    for other in entry.list_of(Attendance, "work_day_id", day.id):
        if other is found or other.voided_at or other.member_id != values["member_id"]:
            continue
        if other.out_at is None and out_at is None:
            raise AlreadyIn
        if _before(in_at, other.out_at) and _before(other.in_at, out_at):
            raise AttendanceOverlaps


def _before(start: datetime, end: datetime | None) -> bool:
    return end is None or start < end


def _marks_of_day(day: WorkDay) -> Iterator[Mark]:
    if day.state in ("draft", "open"):
        detail = f"The work day was {State(day.state).label}: it had not been confirmed."
        yield {"code": "day_not_confirmed", "detail": detail, "field": "work_day", "source": ""}


def _marks_of_times(entry: Entry, day: WorkDay, found: Attendance | None, values: dict[str, Any]) -> Iterator[Mark]:
    """Mark a time on another date than the work day's, and more hours than a day has."""
    yield from _marks_of_dates(day, values)
    others = [
        (other.in_at, other.out_at)
        for other in entry.list_of(Attendance, "work_day_id", day.id)
        if other is not found
        and not other.voided_at
        and (other.member_id, other.on_date) == (values["member_id"], values["on_date"])
    ]
    spans = [*others, (values["in_at"], values["out_at"])]
    minutes = [int((out_at - in_at).total_seconds()) // 60 for in_at, out_at in spans if out_at]
    if long := hours_in_a_day(minutes, values["on_date"]):
        yield {"code": long.code, "detail": long.detail, "field": "out_at", "source": long.source}


def _marks_of_dates(day: WorkDay, values: dict[str, Any]) -> Iterator[Mark]:
    for field in ("in_at", "out_at"):
        at: datetime | None = values[field]
        if at and (on := local_date(at, day.zone())) != day.on_date:
            detail = f"This time lies on {said(on)}; the work day is on {said(day.on_date)}."
            yield {"code": "other_date", "detail": detail, "field": field, "source": ""}


def _marks_of_person(entry: Entry, day: WorkDay, values: dict[str, Any]) -> Iterator[Mark]:
    duty = _duty_of(entry, day, values["member_id"])
    member_id, on = values["member_id"], values["on_date"]
    if duty:
        yield from marks_of(entry, member_id, day, duty, on)
    yield from marks_of_age(entry, duty, member_id, on, values["age_class"])


def _duty_of(entry: Entry, day: WorkDay, member_id: UUID) -> Duty | None:
    duties = {duty.id: duty for duty in entry.list_of(Duty, "work_day_id", day.id)}
    return next((duties[s.duty_id] for s in people_of(entry, day) if s.member_id == member_id), None)
