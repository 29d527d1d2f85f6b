"""What is kept of a day beside the work, and may still be open: signs, signatures under the briefing, incidents."""

from collections.abc import Iterator

from stewardship.accounts.models import Group, Member
from stewardship.journal.book import Entry
from stewardship.workdays.models import Attendance, Briefing, Incident, Posting, WorkDay
from stewardship.workdays.reasons import Reason
from stewardship.workdays.services.briefings import unsigned


def sign_still_up(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell which signs of the day still stand: a day is closed once the last one is down."""
    for posting in entry.list_of(Posting, "work_day_id", day.id):
        if posting.is_up():
            detail = f"A sign is still up: {posting.text[:100]}. Take it down, and enter when."
            yield {"code": "sign_still_up", "detail": detail, "where": f"postings/{posting.id}"}


def not_signed(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell who came and signed no briefing; where none was held, that, if the group wants one."""
    came = _came(entry, day)
    held = [each for each in entry.list_of(Briefing, "work_day_id", day.id) if not each.voided_at]
    if not held:
        entry.load(Group, [entry.group_id], lock=False)
        if came and entry.get(Group, entry.group_id).wants_briefings:
            yield {"code": "briefing_missing", "detail": "No briefing is on record. Enter it.", "where": "briefings"}
        return
    for member in unsigned(entry, day, came):
        detail = f"{member.display_name} has not signed the briefing."
        yield {"code": "briefing_not_signed", "detail": detail, "where": f"members/{member.id}"}


def incident_not_asked(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell whether nobody has said if anything went wrong; a report of something is an answer."""
    if day.had_incident is None and not _incidents(entry, day):
        detail = "Nobody has said whether anything went wrong: a spill, an exposure, an injury, drift. Answer it."
        yield {"code": "incident_not_asked", "detail": detail, "where": "had_incident"}
    elif day.had_incident and not _incidents(entry, day):
        detail = "Something went wrong, as somebody answered, and no incident is on record. Report it."
        yield {"code": "incident_not_told", "detail": detail, "where": "incidents"}


def incident_unanswered(entry: Entry, day: WorkDay) -> Iterator[Reason]:
    """Tell which incidents of the day nobody has dealt with."""
    for incident in _incidents(entry, day):
        if incident.is_open():
            detail = f"An incident is not answered ({incident.get_what_display()}). Say what came of it."
            yield {"code": "incident_unanswered", "detail": detail, "where": f"incidents/{incident.id}"}


def _incidents(entry: Entry, day: WorkDay) -> list[Incident]:
    return [each for each in entry.list_of(Incident, "work_day_id", day.id) if not each.voided_at]


def _came(entry: Entry, day: WorkDay) -> list[Member]:
    """Return who came, each once, by name."""
    ids = {a.member_id for a in entry.list_of(Attendance, "work_day_id", day.id) if not a.voided_at}
    entry.load(Member, ids, lock=False)
    return sorted((entry.get(Member, id) for id in ids), key=lambda member: (member.display_name, str(member.id)))
