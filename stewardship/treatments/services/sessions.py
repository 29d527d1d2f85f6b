"""A session is begun, ended, corrected, voided."""

from zoneinfo import ZoneInfo

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, columns
from stewardship.places.models import Property, Unit
from stewardship.places.zones import zone_of
from stewardship.rules.dates import local_date
from stewardship.treatments import fields
from stewardship.treatments.models import Application, Session
from stewardship.treatments.services import facts


class EndsBeforeItBegins(RuleViolation):
    """Time runs forward."""

    code = "ends_before_it_begins"
    message = "The end lies before the beginning. Check both times and their dates."
    where = "ended_at"


class SessionInUse(RuleViolation):
    """Lines rest on their session."""

    code = "session_in_use"
    message = "Something was recorded in this session. Void those lines first."


def record_session(entry: Entry, new: fields.NewSession) -> Session:
    """Record a treatment session; a lapsed credential of its applicator is marked for good."""
    unit = entry.get(Unit, new.unit)
    zone = zone_of(entry, entry.get(Property, unit.property_id))
    on = local_date(new.started_at, zone)
    _check_times(new.started_at, new.ended_at)
    marks = facts.join_day(entry, new.work_day) + facts.applicator_marks(entry, new.applicator, on, "applicator")
    values = {"property_id": unit.property_id, "time_zone": zone.key, "on_date": on, "marks": marks}
    return entry.create(Session, id=new.id, **columns(new), **values)


def end_session(entry: Entry, wish: fields.EndSession) -> Session:
    """Say when a session ended."""
    session = facts.living(entry.get(Session, wish.id))
    _check_times(session.started_at, wish.ended_at)
    return entry.change(session, ended_at=wish.ended_at)


def amend_session(entry: Entry, wish: fields.AmendSession) -> Session:
    """Correct a session's times or applicator; it is judged anew by its date, its lines keep theirs."""
    session = facts.living(entry.get(Session, wish.id))
    values = columns(wish)
    started_at = values.get("started_at", session.started_at)
    _check_times(started_at, values.get("ended_at", session.ended_at))
    on = local_date(started_at, ZoneInfo(session.time_zone))
    if on != session.on_date and entry.list_of(Application, "session_id", session.id):
        raise SessionInUse("Lines were recorded under this session's date. Void them before you move it to another.")
    if on != session.on_date or "applicator_id" in values:
        kept = [mark for mark in session.marks if mark["field"] != "applicator"]
        applicator = values.get("applicator_id", session.applicator_id)
        values |= {"on_date": on, "marks": kept + facts.applicator_marks(entry, applicator, on, "applicator")}
    return entry.change(session, **values)


def void_session(entry: Entry, wish: Target) -> Session:
    """Take a session out of the totals; refused while lines of it count."""
    session = entry.get(Session, wish.id)
    if any(not line.voided_at for line in entry.list_of(Application, "session_id", session.id)):
        raise SessionInUse
    return facts.void(entry, session)


def reinstate_session(entry: Entry, wish: Target) -> Session:
    """Put a voided session back."""
    return entry.change(facts.voided(entry, Session, wish), voided_at=None)


def _check_times(started_at: object, ended_at: object) -> None:
    if ended_at is not None and ended_at < started_at:  # type: ignore[operator]
        raise EndsBeforeItBegins
