"""Whether a member may take a duty on a day: asked at sign-up, and again when somebody moves up."""

from collections.abc import Callable, Iterable

from stewardship.accounts.models import Member
from stewardship.journal.book import Entry
from stewardship.workdays.models import Duty, WorkDay
from stewardship.workdays.of_age import against_plan
from stewardship.workdays.qualification import marks_of
from stewardship.workdays.reasons import Reason

ALSO: list[Callable[[Entry, WorkDay, Duty, Member], Iterable[Reason]]] = []
"""What else looks for a reason against a member: apps above add to it, and decide themselves whether it bears."""


def against_member(entry: Entry, day: WorkDay, duty: Duty, member: Member) -> list[Reason]:
    """Return every reason why a member cannot be planned for a duty on the date of the day."""
    marks = marks_of(entry, member.id, day, duty, day.on_date)
    where = f"members/{member.id}"
    reasons = [{"code": mark["code"], "detail": mark["detail"], "where": where} for mark in marks]
    reasons += against_plan(entry, day, duty, member.id)
    return reasons + [reason for look in ALSO for reason in look(entry, day, duty, member)]
