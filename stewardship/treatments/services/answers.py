"""Work without a credential that counted is answered: why, and by which letter. No mark is taken away."""

from collections.abc import Iterable
from typing import TypeVar

from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.treatments import fields
from stewardship.treatments.models import Application, Batch, Session
from stewardship.treatments.services import licences

A = TypeVar("A", Session, Batch)


class NothingToAnswer(RuleViolation):
    """An answer is to something that was marked."""

    code = "nothing_to_answer"
    message = "Nothing is marked here about a credential, so there is nothing to answer."


class RestrictedUnanswered(RuleViolation):
    """A record of restricted use without a licence is not completed before somebody answers for it."""

    code = "restricted_use_unanswered"
    message = (
        "A restricted-use product was used and nobody with a credential for it is named. A coordinator answers that "
        "first, with a reason or a letter; the mark stays."
    )


def answer_session(entry: Entry, wish: fields.AnswerLapse) -> Session:
    """Answer for what a session and its lines are marked with about credentials. Raises NothingToAnswer."""
    session = entry.get(Session, wish.id)
    return _answered(entry, session, codes_of_session(entry, session), wish)


def answer_batch(entry: Entry, wish: fields.AnswerLapse) -> Batch:
    """Answer for what a batch is marked with about the mixer's credential. Raises NothingToAnswer."""
    batch = entry.get(Batch, wish.id)
    return _answered(entry, batch, codes_of_batch(batch), wish)


def codes_of_session(entry: Entry, session: Session) -> set[str]:
    """Return the codes of everything that a session and its lines are marked with about credentials."""
    lines = [line for line in entry.list_of(Application, "session_id", session.id) if not line.voided_at]
    return _codes(session.marks, *(line.marks for line in lines))


def codes_of_batch(batch: Batch) -> set[str]:
    """Return the codes of what a batch is marked with about the mixer's credential."""
    return licences.unlicensed(batch.marks, ("mixed_by",))


def open_codes(record: Session | Batch, codes: set[str]) -> set[str]:
    """Return the codes that nobody answered for."""
    return codes - set(record.answered_for)


def check_restricted_answered(entry: Entry, session: Session) -> None:
    """Refuse to complete a record of restricted use without a licence. Raises RestrictedUnanswered."""
    if licences.RESTRICTED in open_codes(session, codes_of_session(entry, session)):
        raise RestrictedUnanswered


def _codes(*several: Iterable[dict[str, str]]) -> set[str]:
    return {code for marks in several for code in licences.unlicensed(marks, licences.SUPERVISED_BY)}


def _answered(entry: Entry, record: A, codes: set[str], wish: fields.AnswerLapse) -> A:
    if not codes:
        raise NothingToAnswer
    return entry.change(
        record,
        answer=wish.answer,
        answer_document=wish.answer_document,
        answered_for=sorted(codes),
        answered_at=entry.at,
        answered_by_id=entry.by.member_id,
    )
