"""A session is begun, ended, corrected, voided."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from stewardship.credentials.needs import named
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target, json_columns
from stewardship.places.models import Property, Unit
from stewardship.places.zones import zone_of
from stewardship.rules.dates import local_date
from stewardship.rules.requirements import is_post_box
from stewardship.treatments import fields
from stewardship.treatments.models import Application, Batch, Session
from stewardship.treatments.services import (
    area_years,
    facts,
    helpers,
    lawful,
    licences,
    limits,
    people,
    signatures,
    supervision,
)

JUDGED_BY = ("on_date", "applicator_id", "supervisor_id", "contractor_id", "site_type")
"""What a session's lines are judged by for the licences of its people."""


class EndsBeforeItBegins(RuleViolation):
    """Time runs forward."""

    code = "ends_before_it_begins"
    message = "The end lies before the beginning. Check both times and their dates."
    where = "ended_at"


class AlreadyEnded(RuleViolation):
    """A session ends once."""

    code = "already_ended"
    message = "This session has ended already. Correct that entry if its time is wrong."
    where = "ended_at"


class PostBoxIsNoPlace(RuleViolation):
    """A record says where it was, not where letters go."""

    code = "post_box_is_no_place"
    message = "A post-office box is no place. Describe where it was, so that somebody can find it."
    where = "place_text"


class AnswerUnclear(RuleViolation):
    """What is told without the answer to the question."""

    code = "answer_unclear"
    message = "Something is written about {what}, and yet it is not answered with yes that there was one."


class SessionInUse(RuleViolation):
    """Lines rest on their session."""

    code = "session_in_use"
    message = "Something was recorded in this session. Void those lines first."


def record_session(entry: Entry, new: fields.NewSession) -> Session:
    """Record a treatment session; a lapsed credential or paper of whoever treated is marked for good."""
    unit = entry.get(Unit, new.unit)
    place = entry.get(Property, unit.property_id)
    zone = zone_of(entry, place)
    on = local_date(new.started_at, zone)
    told = _columns(new)
    _check(told)
    day = facts.join_day(entry, new.work_day)
    need = licences.need_of_session(told, named(place))
    marks = [
        *facts.day_marks(day, unit.property_id),
        *facts.date_marks(day, on, "started_at"),
        *people.people_marks(entry, told, need, on),
        *supervision.ratio_marks(entry, told, place, need, on),
        *_place_marks(entry, unit, on, new.started_at),
    ]
    values = {"property_id": unit.property_id, "time_zone": zone.key, "on_date": on, "marks": marks}
    values["credentials"] = licences.kept_of(entry, told, licences.SUPERVISED_BY, need, on)
    return entry.create(Session, id=new.id, **told, **values)


def end_session(entry: Entry, wish: fields.EndSession) -> Session:
    """Say when a session ended, once; another end is a correction, which says why."""
    session = signatures.unlocked(facts.living(entry.get(Session, wish.id)))
    if session.ended_at not in (None, wish.ended_at):
        raise AlreadyEnded
    _check_times(session.started_at, wish.ended_at)
    return entry.change(session, ended_at=wish.ended_at)


def amend_session(entry: Entry, wish: fields.AmendSession) -> Session:
    """Correct a session; times and people are judged anew, and its lines follow its date and its marks."""
    session = signatures.unlocked(facts.living(entry.get(Session, wish.id)))
    values = _columns(wish)
    after = vars(session) | values
    _check(after)
    values["on_date"] = local_date(after["started_at"], ZoneInfo(session.time_zone))
    after |= {"on_date": values["on_date"]}
    entry.load(Property, [session.property_id], lock=False)
    place = entry.get(Property, session.property_id)
    need = licences.need_of_session(after, named(place))
    values["marks"] = facts.judged_anew(
        entry, session, values, moment="started_at", people=people.judges(need),
        anew=after["site_type"] != session.site_type,
    )  # fmt: skip
    if any(after[name] != getattr(session, name) for name in supervision.JUDGED_BY):
        kept = [each for each in values["marks"] if each["code"] != supervision.TOO_MANY]
        values["marks"] = kept + supervision.ratio_marks(entry, after, place, need, after["on_date"])
    values["credentials"] = licences.kept_anew(entry, session, after, licences.SUPERVISED_BY, need)
    if after["started_at"] != session.started_at:
        unit = entry.get(Unit, session.unit_id)
        anew = _place_marks(entry, unit, values["on_date"], after["started_at"])
        values["marks"] = lawful.without_place(values["marks"]) + anew
    _carry_to_lines(entry, session, vars(session) | values)
    return entry.change(session, **signatures.corrected(session, values))


def void_session(entry: Entry, wish: Target) -> Session:
    """Take a session out of the totals; refused while lines of it count."""
    session = signatures.unlocked(entry.get(Session, wish.id))
    if any(not line.voided_at for line in entry.list_of(Application, "session_id", session.id)):
        raise SessionInUse
    voided_at = session.voided_at or entry.at
    return entry.change(session, **signatures.corrected(session, {"voided_at": voided_at}))


def reinstate_session(entry: Entry, wish: Target) -> Session:
    """Put a voided session back."""
    session = facts.voided(entry, Session, wish)
    return entry.change(session, **signatures.corrected(session, {"voided_at": None}))


def _carry_to_lines(entry: Entry, session: Session, after: Mapping[str, Any]) -> None:
    """Give the lines of a session, voided ones too, what they have from it; one recorded just now is locked here.

    What was marked about a line alone stays, but for what stored limits say: that is judged anew, and so are licences
    for its work where the people, the date or the kind of site are others.
    """
    others = any(getattr(session, name) != after[name] for name in JUDGED_BY)
    if not others and all(getattr(session, name) == after[name] for name in ("marks", "weather", "helpers")):
        return
    told = Session(**{field.attname: after[field.attname] for field in Session._meta.concrete_fields})
    lines = entry.list_of(Application, "session_id", session.id)
    entry.load(Application, [line.id for line in lines])
    for line in lines:
        own = [mark for mark in line.marks if mark not in session.marks]
        if not line.voided_at:
            said = vars(line) | {"on_date": after["on_date"]}
            area_years.take_out(entry, vars(line))
            area_years.count(entry, said)
            if others:
                batch = entry.get(Batch, line.batch_id)
                own = licences.without(own) + licences.marks_of_line(entry, told, batch, said)
            own = limits.without(helpers.without(own)) + limits.of_line(entry, said, after)
            own += helpers.marks_of_line(entry, said, after["helpers"])
        entry.change(line, on_date=after["on_date"], marks=after["marks"] + own)


def _place_marks(entry: Entry, unit: Unit, on: date, began_at: datetime) -> facts.Marks:
    """Return what to mark about herbicide work in a unit on a date: what law and landowner ask before it."""
    return [
        *lawful.place_marks(entry, unit.property_id, on, began_at, "unit"),
        *lawful.unit_marks(entry, unit, on),
    ]


def _columns(wish: fields.NewSession | fields.AmendSession) -> dict[str, Any]:
    """Return the columns of a session; readings stand in the order of time."""
    values = json_columns(wish)
    if wish.weather:
        values["weather"] = [reading.told() for reading in sorted(wish.weather, key=lambda each: each.at)]
    if wish.coordinates:
        values["coordinates"] = wish.coordinates.told()
    return values


def _check(values: Mapping[str, Any]) -> None:
    """Refuse what cannot be true of one session. Raises ApplicatorOrContractor, PersonTwice, AnswerUnclear and others.

    ``values``: all the columns that a session has, or will have.
    """
    _check_times(values["started_at"], values["ended_at"])
    people.check_people(values)
    if is_post_box(values["place_text"]):
        raise PostBoxIsNoPlace
    if values["incident"].strip() and values["had_incident"] is not True:
        raise AnswerUnclear(what="an incident", where="incident")
    if values["customer"].strip() and values["for_a_customer"] is not True:
        raise AnswerUnclear(what="a customer", where="customer")


def _check_times(started_at: datetime, ended_at: datetime | None) -> None:
    if ended_at is not None and ended_at < started_at:
        raise EndsBeforeItBegins
