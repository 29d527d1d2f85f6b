"""Who was part in a session: one applicator or contractor, a supervisor, helpers; each is named once."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from stewardship.credentials.judging import standing_of
from stewardship.credentials.needs import Need
from stewardship.credentials.standing import marks_for
from stewardship.errors import RuleViolation
from stewardship.journal.book import Entry
from stewardship.treatments.services.contractors import contractor_marks
from stewardship.treatments.services.facts import Judge, Marks


class ApplicatorOrContractor(RuleViolation):
    """A session is a member's or a contractor's."""

    code = "applicator_or_contractor"
    message = "Say who applied it: one member, or one contractor."
    where = "applicator"


class PersonTwice(RuleViolation):
    """Nobody supervises or helps themselves."""

    code = "person_twice"
    message = "Somebody is named twice among applicator, supervisor and helpers. Name each person once."
    where = "helpers"


def check_people(values: Mapping[str, Any]) -> None:
    """Refuse a session whose people cannot be those of one. Raises ApplicatorOrContractor, PersonTwice."""
    if (values["applicator_id"] is None) == (values["contractor_id"] is None):
        raise ApplicatorOrContractor
    named = [values["applicator_id"], values["supervisor_id"], *(values["helpers"] or ())]
    told = [str(each) for each in named if each is not None]
    if len(set(told)) < len(told):
        raise PersonTwice


def judges(need: Need) -> dict[str, Judge]:
    """Return, for each field that names somebody, what judges them by the date.

    A supervisor needs the credential of an applicator.
    """

    def licensed(entry: Entry, member_id: UUID, on: date, field: str) -> Marks:
        return marks_for(standing_of(entry, member_id, need, on), field, on)

    return {"applicator": licensed, "contractor": contractor_marks, "supervisor": licensed}


def people_marks(entry: Entry, values: Mapping[str, Any], need: Need, on: date) -> Marks:
    """Return what to mark about the credentials and papers of those who treated, or supervised, on a date."""
    named = [(field, judge, values[f"{field}_id"]) for field, judge in judges(need).items()]
    return [found for field, judge, id in named if id for found in judge(entry, id, on, field)]
