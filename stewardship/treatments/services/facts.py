"""What the facts of a day have in common: their day, their marks, how they are voided."""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, TypeVar
from uuid import UUID

from stewardship.errors import AlreadyVoided, RuleViolation
from stewardship.journal.book import Entry
from stewardship.journal.fields import Target
from stewardship.rules.dates import said
from stewardship.treatments.models import Voidable
from stewardship.workdays.models import WorkDay
from stewardship.workdays.services.work_days import begin

F = TypeVar("F", bound=Voidable)
Marks = list[dict[str, Any]]
Judge = Callable[[Entry, UUID, date, str], Marks]
"""Judges a person or party by the local date of the work: (entry, id, date, the field that names it) -> marks."""


class NotVoided(RuleViolation):
    """Only what was voided is reinstated."""

    code = "not_voided"
    message = "This record was not voided."


DAY_MARKS = {
    "draft": ("day_not_confirmed", "The work day was a draft: it had not been confirmed."),
    "open": ("day_not_confirmed", "The work day was open: it had not been confirmed."),
    "cancelled": ("day_cancelled", "The work day was cancelled. The work is recorded all the same."),
    "closed": ("day_closed", "The work day was closed already. The work is recorded all the same."),
}
"""State of a work day in which nothing should be done on it -> code and sentence."""


def join_day(entry: Entry, work_day_id: UUID | None) -> WorkDay | None:
    """Return the work day that a fact belongs to; a confirmed one is under way from now on."""
    return None if work_day_id is None else begin(entry, entry.get(WorkDay, work_day_id))


def day_marks(day: WorkDay | None, property_id: UUID | None = None) -> Marks:
    """Return what to mark about the day that something was done on: it was done all the same."""
    found = [mark(*DAY_MARKS[day.state], "work_day")] if day and day.state in DAY_MARKS else []
    if day and property_id not in (None, day.property_id):
        detail = "This work day was planned for another property."
        found.append(mark("other_property", detail, "work_day"))
    return found


def date_marks(day: WorkDay | None, on: date, field: str) -> Marks:
    """Return what to mark about a local date that is not the work day's."""
    if day is None or on == day.on_date:
        return []
    return [mark("other_date", f"This time lies on {said(on)}; the work day is on {said(day.on_date)}.", field)]


def judged_anew(
    entry: Entry, fact: Any, values: dict[str, Any], *, moment: str, people: Mapping[str, Judge], anew: bool = False
) -> Marks:
    """Return a fact's marks once ``values`` are its own: a person or date that stays keeps what was marked then.

    ``people``: field that names somebody -> what judges them by the date; ``anew``: what they are judged by changed.
    """
    marks: Marks = fact.marks
    on, moved = values["on_date"], values["on_date"] != fact.on_date
    if moved and fact.work_day_id:
        entry.load(WorkDay, [fact.work_day_id], lock=False)
        day = entry.get(WorkDay, fact.work_day_id)
        marks = [each for each in marks if each["field"] != moment] + date_marks(day, on, moment)
    for field, judge in people.items():
        before = getattr(fact, f"{field}_id")
        id = values.get(f"{field}_id", before)
        if moved or anew or id != before:
            kept = [each for each in marks if each["field"] != field]
            marks = kept + (judge(entry, id, on, field) if id else [])
    return marks


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
