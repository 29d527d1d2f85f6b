"""Anybody who works reports what went wrong; a coordinator says what came of it."""

from datetime import datetime
from uuid import UUID

from stewardship.errors import AlreadyVoided, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.contents import instant
from stewardship.journal.fields import Target, columns
from stewardship.places.models import Property
from stewardship.places.zones import zone_of
from stewardship.workdays import fields
from stewardship.workdays.leading import check_leads
from stewardship.workdays.models import Incident, IncidentDetails, WorkDay
from stewardship.workdays.services.postings import check_day
from stewardship.workdays.states import check_not_ended


class BeforeItHappened(RuleViolation):
    """Nobody is told of an incident, and nobody deals with it, before it happens."""

    code = "before_it_happened"
    message = "This time lies before the incident. Correct one of the two times."


class AnsweredAlready(RuleViolation):
    """An incident is answered once, and corrected after that by a coordinator who reopens it."""

    code = "answered_already"
    message = "This incident was answered already. Reopen it before you change it."


class IncidentIsTold(RuleViolation):
    """Where an incident was reported, something happened."""

    code = "incident_is_told"
    message = "An incident of this day is on record. Void it first if nothing happened."
    where = "had_incident"


def report_incident(entry: Entry, new: fields.NewIncident) -> Incident:
    """Record what went wrong, with what was done at once and who was told."""
    check_day(entry, new.work_day, new.property)
    zone = zone_of(entry, entry.get(Property, new.property))
    for each in new.notified:
        _check_after(new.happened_at, each.at, "notified")
    values = columns(new) | {"notified": [each.told() for each in new.notified], "time_zone": zone.key}
    if new.work_day and (day := entry.get(WorkDay, new.work_day)).had_incident is False:
        entry.change(day, had_incident=True)
    return entry.create(Incident, id=new.id, **values)


def amend_incident(entry: Entry, wish: fields.AmendIncident) -> Incident:
    """Correct what was told of an incident that nobody has answered yet."""
    found = _open(entry, wish.id)
    return entry.change(found, **columns(wish))


def notify(entry: Entry, wish: fields.NotifyOfIncident) -> Incident:
    """Add that somebody was told of it; the same again changes nothing."""
    found = _unvoided(entry, wish.id)
    _check_after(found.happened_at, wish.told_at, "told_at")
    line = {"whom": wish.whom, "at": instant(wish.told_at), "how": wish.how}
    return found if line in found.notified else entry.change(found, notified=[*found.notified, line])


def answer_incident(entry: Entry, wish: fields.AnswerIncident) -> Incident:
    """Say what came of it: nothing more is to be done."""
    found = _open(entry, wish.id)
    _check_after(found.happened_at, wish.answered_at, "answered_at")
    return entry.change(found, answered_at=wish.answered_at, answer=wish.answer)


def reopen_incident(entry: Entry, wish: Target) -> Incident:
    """Take an answer back: something is still to be done. The history keeps it."""
    return entry.change(_unvoided(entry, wish.id), answered_at=None, answer="")


def void_incident(entry: Entry, wish: Target) -> Incident:
    """Call an incident a mistaken entry. Again changes nothing."""
    found = entry.get(Incident, wish.id)
    return found if found.voided_at else entry.change(found, voided_at=entry.at)


def add_details(entry: Entry, new: fields.NewIncidentDetails) -> IncidentDetails:
    """Tell the coordinators who was hurt."""
    if entry.get(Incident, new.incident).voided_at:
        raise AlreadyVoided
    return entry.create(IncidentDetails, id=new.id, **columns(new))


def amend_details(entry: Entry, wish: fields.AmendIncidentDetails) -> IncidentDetails:
    """Correct who was hurt."""
    return entry.change(entry.get(IncidentDetails, wish.id), **columns(wish))


def answer_question(entry: Entry, wish: fields.AnswerForDay) -> WorkDay:
    """Answer whether anything went wrong on a day: a day is not over until somebody has said so."""
    day = entry.get(WorkDay, wish.id)
    check_not_ended(day.state)
    check_leads(entry, day, "Only the leader of the day, or a coordinator, answers for it.")
    told = any(not each.voided_at for each in entry.list_of(Incident, "work_day_id", day.id))
    if told and wish.had_incident is False:
        raise IncidentIsTold
    return entry.change(day, had_incident=wish.had_incident)


def _open(entry: Entry, id: UUID) -> Incident:
    found = _unvoided(entry, id)
    if found.answered_at:
        raise AnsweredAlready
    return found


def _unvoided(entry: Entry, id: UUID) -> Incident:
    found = entry.get(Incident, id)
    if found.voided_at:
        raise AlreadyVoided
    return found


def _check_after(happened_at: datetime, at: datetime, where: str) -> None:
    if at < happened_at:
        raise BeforeItHappened(where=where)
