"""What a work day lacks before it can be confirmed: every reason at once."""

from collections.abc import Iterator
from datetime import date
from uuid import UUID

from stewardship.accounts.models import Member
from stewardship.credentials.models import Covers, Credential
from stewardship.credentials.standing import Standing, marks_for, standing
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.workdays.models import Duty, DutyName, SignUp, WorkDay

Reason = dict[str, str]
"""One thing that stands in the way: ``code``, ``detail`` (a sentence), ``where`` (a path in the group)."""

NEEDS: dict[str, str] = {DutyName.APPLICATOR: Covers.HERBICIDE_APPLICATION}
"""Duty -> what its people need a credential for, on a day with herbicide."""


class ReasonsStand(RuleViolation):
    """Something is refused for reasons that are all told at once."""

    lead = "This cannot be done yet."

    def __init__(self, reasons: list[Reason]) -> None:
        """``reasons``: one ``{code, detail, where}`` for each thing that stands in the way."""
        super().__init__(" ".join([self.lead, *(reason["detail"] for reason in reasons)]), reasons=reasons)


class DayNotReady(ReasonsStand):
    """A work day is confirmed with qualified people only."""

    code = "day_not_ready"
    lead = "This work day is not ready to be confirmed."


class NotQualified(ReasonsStand):
    """A plan puts qualified people only on a duty that asks for it."""

    code = "not_qualified"
    lead = "This duty takes a valid credential on the date of the work day."


def people_of(entry: Entry, day: WorkDay) -> list[SignUp]:
    """Return the day's sign-ups that stand."""
    return [s for s in entry.list_of(SignUp, "work_day_id", day.id) if s.withdrawn_at is None]


def standing_for(entry: Entry, member_id: UUID, duty: Duty, on: date) -> Standing | None:
    """Return a member's standing for a duty on a local date; None where the duty asks for none."""
    covers = NEEDS.get(duty.name)
    if covers is None:
        return None
    return standing(entry.list_of(Credential, "holder_id", member_id), covers, on)


def lacking_for_herbicide(entry: Entry, day: WorkDay) -> list[Reason]:
    """Return everything that a day with herbicide lacks: units, people, valid credentials of the applicators."""
    duties = entry.list_of(Duty, "work_day_id", day.id)
    people = people_of(entry, day)
    return [*_no_unit(day), *_unqualified(entry, day, duties, people), *_short(duties, people)]


def _no_unit(day: WorkDay) -> Iterator[Reason]:
    if not day.units:
        yield {"code": "unit_missing", "detail": "No unit is chosen to work in.", "where": "units"}


def _unqualified(entry: Entry, day: WorkDay, duties: list[Duty], people: list[SignUp]) -> Iterator[Reason]:
    by_id = {duty.id: duty for duty in duties}
    applicators = [s for s in people if by_id[s.duty_id].name in NEEDS]
    if not applicators:
        yield {"code": "applicator_missing", "detail": "Nobody is signed up as applicator.", "where": "duties"}
    entry.load(Member, [s.member_id for s in applicators], lock=False)
    for sign_up in applicators:
        found = standing_for(entry, sign_up.member_id, by_id[sign_up.duty_id], day.on_date)
        name = entry.get(Member, sign_up.member_id).display_name
        for mark in marks_for(found, "member", day.on_date) if found else ():
            yield {
                "code": mark["code"],
                "detail": f"{name}: {mark['detail']}",
                "where": f"members/{sign_up.member_id}",
            }


def _short(duties: list[Duty], people: list[SignUp]) -> Iterator[Reason]:
    for duty in duties:
        count = sum(s.duty_id == duty.id for s in people)
        if count < duty.wanted:
            detail = f"{duty.wanted - count} of {duty.wanted} people are still wanted as {duty}."
            yield {"code": "duty_short", "detail": detail, "where": f"duties/{duty.id}"}
