"""The life of a session's record: draft, attested, countersigned where the rule wants it, locked.

Nobody signs for another. A correction after a signature takes the signatures back; of a locked record nothing changes.
"""

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from datetime import timedelta
from typing import Any
from uuid import UUID

from stewardship.accounts.models import Group
from stewardship.catalog.models import RuleProfile
from stewardship.catalog.profiles.rows import profile_of
from stewardship.credentials.judging import standing_of
from stewardship.credentials.needs import Named
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.places.jurisdictions import jurisdiction_of
from stewardship.places.models import Property
from stewardship.rules.dates import said
from stewardship.rules.profiles import applying
from stewardship.treatments import fields
from stewardship.treatments.models import Session
from stewardship.treatments.services import facts, licences
from stewardship.treatments.services.answers import check_restricted_answered

SIGNS_FOR_THE_GROUP = "lock_records"
CLOCK_AHEAD = timedelta(hours=1)
"""By as much a device's clock may run ahead without a refusal; ours, no source."""
"""The capability of who locks records, and signs what no member can: a contractor's record, a supervision."""

UNSIGNED: dict[str, Any] = {
    "attested_at": None,
    "attested_by_id": None,
    "attested_from": "",
    "countersigned_at": None,
    "countersigned_by_id": None,
}


class Locked(RuleViolation):
    """A locked record does not change."""

    code = "locked"
    message = "This record is signed and locked. A coordinator unlocks it, with a reason, before anything changes."


class NotLocked(RuleViolation):
    """Only what is locked is unlocked."""

    code = "not_locked"
    message = "This record is not locked."


class SessionNotEnded(RuleViolation):
    """Nobody signs for what still goes on."""

    code = "session_not_ended"
    message = "This session has not ended. Record its end before you sign it."
    where = "ended_at"


class SessionEndsLater(RuleViolation):
    """Nobody signs beforehand."""

    code = "session_ends_later"
    message = "By its own end this session still goes on. Correct its end, or sign it when the work is over."
    where = "ended_at"


class NotTheApplicator(RuleViolation):
    """An applicator's word is nobody else's to give."""

    code = "not_the_applicator"
    message = "Only the person who applied it can attest to this record, signed in as themselves."


class DocumentMissing(RuleViolation):
    """A word that was given elsewhere stands on a document."""

    code = "document_missing"
    message = "Say which signed document this record was taken from: its title or number, and its date."
    where = "document"


class NotAttested(RuleViolation):
    """Signatures come in order."""

    code = "not_attested"
    message = "This record is not attested yet. Whoever applied it signs first."


class NotTheSupervisor(RuleViolation):
    """A countersignature is the supervising licence holder's."""

    code = "not_the_supervisor"
    message = "The supervisor who is named, or a coordinator, countersigns, and never who applied it."


class CountersignerUnlicensed(RuleViolation):
    """Who countersigns held a licence on the day."""

    code = "countersigner_unlicensed"
    message = "You countersign with an herbicide credential that counted on {on}. None of yours did."


class NotCountersigned(RuleViolation):
    """A rule of the place wants another signature."""

    code = "not_countersigned"
    message = "{rule} wants the supervising licence holder to countersign first. Lock without it only with a reason."
    where = "reason"


# -- signing ---------------------------------------------------------------------------------------


def attest(entry: Entry, wish: fields.Attest) -> Session:
    """Sign a record as its applicator; one signed on paper, or a contractor's, by a coordinator who names the document.

    Twice changes nothing. Raises Locked, SessionNotEnded, SessionEndsLater, NotTheApplicator, DocumentMissing.
    """
    session = unlocked(facts.living(entry.get(Session, wish.id)))
    _check_signs(entry, session, wish.document)
    if session.ended_at is None:
        raise SessionNotEnded
    if session.ended_at > entry.at + CLOCK_AHEAD:
        raise SessionEndsLater
    if session.attested_at:
        return session
    signed = {"attested_at": entry.at, "attested_by_id": entry.by.member_id, "attested_from": wish.document}
    return entry.change(session, **signed)


def countersign(entry: Entry, wish: fields.Countersign) -> Session:
    """Sign an attested record as the supervising licence holder. Twice changes nothing.

    Raises Locked, NotAttested, NotTheSupervisor, CountersignerUnlicensed.
    """
    session = unlocked(facts.living(entry.get(Session, wish.id)))
    if not session.attested_at:
        raise NotAttested
    signer = entry.by.member_id
    is_supervisor = signer == session.supervisor_id or entry.by.may(SIGNS_FOR_THE_GROUP)
    if signer == session.applicator_id or not is_supervisor:
        raise NotTheSupervisor
    need = licences.need_of_session(vars(session), Named(str(session.property_id)))
    if not standing_of(entry, signer, need, session.on_date).counts:
        raise CountersignerUnlicensed(on=said(session.on_date))
    if session.countersigned_at:
        return session
    return entry.change(session, countersigned_at=entry.at, countersigned_by_id=signer)


def lock(entry: Entry, wish: fields.Lock) -> Session:
    """End the corrections of an attested record. Raises NotAttested, RestrictedUnanswered, NotCountersigned."""
    session = facts.living(entry.get(Session, wish.id))
    if session.locked_at:
        return session
    if not session.attested_at:
        raise NotAttested
    check_restricted_answered(entry, session)
    rule = None if session.countersigned_at else _wanting_countersignature(entry, session)
    if rule and not wish.reason.strip():
        raise NotCountersigned(rule=rule)
    return entry.change(session, locked_at=entry.at, locked_by_id=entry.by.member_id)


def unlock(entry: Entry, wish: fields.Unlock) -> Session:
    """Open a locked record to corrections; its signatures stand until one is made. Raises NotLocked."""
    session = entry.get(Session, wish.id)
    if not session.locked_at:
        raise NotLocked
    return entry.change(session, locked_at=None, locked_by_id=None)


def _check_signs(entry: Entry, session: Session, document: str) -> None:
    if entry.by.member_id == session.applicator_id:
        return
    if not signed_elsewhere(session):
        raise NotTheApplicator
    if not entry.by.may(SIGNS_FOR_THE_GROUP):
        raise NotTheApplicator("This was signed on a document. A coordinator attests to it, and names that document.")
    if not document.strip():
        raise DocumentMissing


def signed_elsewhere(session: Session) -> bool:
    """Tell whether the applicator's word can stand on a document: a contractor's record, or a sheet signed by hand.

    Members without a sign-in sign only by hand.
    """
    return session.contractor_id is not None or session.written_at is not None


def _wanting_countersignature(entry: Entry, session: Session) -> str | None:
    """Return the name of a rule of the place that wants supervised work countersigned; None where none does."""
    if not was_supervised(vars(session)):
        return None
    entry.load(Property, [session.property_id], lock=False)
    entry.load(Group, [entry.group_id], lock=False)
    place = jurisdiction_of(entry.get(Property, session.property_id), entry.get(Group, entry.group_id))
    profiles = [profile_of(row) for row in entry.all_of(RuleProfile) if not row.retired_at]
    return next((p.name for p in applying(profiles, place, session.on_date, {}) if p.countersign), None)


def was_supervised(session: Mapping[str, Any]) -> bool:
    """Tell from its columns whether a session's applicator worked, or had to work, under supervision.

    A supervisor is named, or the applicator's credential was marked as not counting on the date.
    """
    lapsed = any(mark["field"] == "applicator" for mark in session["marks"])
    return session["supervisor_id"] is not None or lapsed


# -- corrections -----------------------------------------------------------------------------------


def unlocked(session: Session) -> Session:
    """Return the session. Raises Locked."""
    if session.locked_at:
        raise Locked
    return session


def corrected(session: Session, values: dict[str, Any]) -> dict[str, Any]:
    """Return the columns of a correction: where it changes anything, the signatures are taken back with it.

    Raises Locked.
    """
    unlocked(session)
    is_change = any(getattr(session, name) != value for name, value in values.items())
    return values | UNSIGNED if is_change else values


def take_back(entry: Entry, sessions: Collection[UUID]) -> None:
    """Take the signatures of these sessions back: something that their records tell is corrected. Raises Locked."""
    entry.load(Session, sessions)
    for id in sessions:
        entry.change(unlocked(entry.get(Session, id)), **UNSIGNED)


@contextmanager
def correcting(entry: Entry, session: Session) -> Iterator[None]:
    """Change lines of a session inside; where anything was changed, the session's signatures are taken back.

    Raises Locked.
    """
    unlocked(session)
    mark = entry.mark()
    yield
    if entry.told_since(mark):
        entry.change(session, **UNSIGNED)
