"""Whether a member may take a duty on a day: asked at sign-up, and again when somebody moves up."""

from stewardship.accounts.models import Member
from stewardship.credentials.standing import marks_for
from stewardship.journal.book import Entry
from stewardship.workdays.models import Duty, WorkDay
from stewardship.workdays.readiness import standing_for
from stewardship.workdays.reasons import Reason


def against_member(entry: Entry, day: WorkDay, duty: Duty, member: Member) -> list[Reason]:
    """Return every reason why a member cannot be planned for a duty on the date of the day."""
    found = standing_for(entry, member.id, duty, day.on_date) if day.herbicide_planned else None
    marks = marks_for(found, "member", day.on_date) if found else []
    where = f"members/{member.id}"
    return [{"code": mark["code"], "detail": mark["detail"], "where": where} for mark in marks]
