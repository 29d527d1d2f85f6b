"""What the facts of a day have in common: their day, their marks, how they are voided."""

from typing import Any, TypeVar

from stewardship.credentials.models import Credential
from stewardship.credentials.standing import marks_for, standing
from stewardship.errors import AlreadyVoided, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target
from stewardship.treatments.models import Fact
from stewardship.workdays.models import WorkDay
from stewardship.workdays.services.work_days import begin

F = TypeVar("F", bound=Fact)
Marks = list[dict[str, Any]]


class NotVoided(RuleViolation):
    """Only what was voided is reinstated."""

    code = "not_voided"
    message = "This record was not voided."


def applicator_marks(entry: Entry, member_id: Any, on: Any, field: str) -> Marks:
    """Return what to mark about a person's herbicide credential on a date; it is judged by that date for ever."""
    credentials = entry.list_of(Credential, "holder_id", member_id)
    return marks_for(standing(credentials, "herbicide_application", on), field, on)


def join_day(entry: Entry, work_day_id: Any) -> Marks:
    """Set a confirmed day under way; a day that was called off is marked, since the work was done."""
    if work_day_id is None:
        return []
    day = entry.get(WorkDay, work_day_id)
    if day.state == "cancelled":
        return [
            mark("work_day_cancelled", "This work day was cancelled. The work is recorded all the same.", "work_day")
        ]
    begin(entry, day)
    return []


def mark(code: str, detail: str, field: str, source: str = "") -> dict[str, str]:
    """Return one mark: what is flagged about a record, for whoever reads it."""
    return {"code": code, "detail": detail, "field": field, "source": source}


def living(fact: F) -> F:
    """Return the fact. Raises AlreadyVoided if it counts no more."""
    if fact.voided_at:
        raise AlreadyVoided
    return fact


def void(entry: Entry, fact: F) -> F:
    """Take a fact out of every total; it stays in the book. Voiding it again changes nothing."""
    return fact if fact.voided_at else entry.change(fact, voided_at=entry.at)


def voided(entry: Entry, model: type[F], wish: Target) -> F:
    """Return the voided fact that an act names. Raises NotVoided."""
    fact = entry.get(model, wish.id)
    if not fact.voided_at:
        raise NotVoided
    return fact
